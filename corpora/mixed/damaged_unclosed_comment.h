#define WICK_GENERATION 2
#include <wick2.h>
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

using tide_staff = power_sleeve<
  clash_sleeve<
    collar_sleeve<bands<33, 100, rgb<0, 70, 200>, rgb<0, 35, 100>>, rgb<210, 240, 255>, 14>,  /* foam at the hand
    rgb<255, 255, 255>>,
  600, 600>;
