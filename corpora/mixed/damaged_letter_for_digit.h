#define WICK_GENERATION 2
#include <wick2.h>
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

using tide_staff = power_sleeve<
  clash_sleeve<
    collar_sleeve<bands<33, 100, rgb<O, 7O, 200>, rgb<0, 35, 100>>, rgb<210, 240, 255>, 14>,
    rgb<255, 255, 255>>,
  6oo, 600>;
using toll_stick = power_sleeve<clash_sleeve<rgb<90, 0, 140>, rgb<230, 200, 255>, 100>, 250, 250>;

wick_slots slots = { slot<tide_staff>("tide", "Tide staff"), slot<toll_stick>("toll", "Toll stick") };
