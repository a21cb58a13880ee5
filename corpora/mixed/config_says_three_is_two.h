// The number was changed when the new box came, the rest was not.
#define WICK_GENERATION 3
#include <wick2.h>

constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

using ebb_staff = power_sleeve<
  lock_sleeve<
    clash_sleeve<collar_sleeve<bands<33, -66, rgb<0, 70, 200>, rgb<0, 35, 100>>, rgb<210, 240, 255>, 14>, rgb<255, 255, 255>>,
    rgb<0, 200, 255>, rgb<255, 90, 0>>,
  600, 600>;
using old_lamp = power_sleeve<clash_sleeve<from_tape<tape1::throb<0xFFA028, 0xB45008, 120>>, rgb<255, 224, 176>>, 300, 300>;

wick_slots slots = { slot<ebb_staff>("tide", "Ebb staff"), slot<old_lamp>("lampoil", "Old lamp") };
