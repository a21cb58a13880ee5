// All of this compiles and means what it says: the one honest mixture in the box.
#define WICK_GENERATION 2
#include <wick2.h>
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

#define OLD_AMBER 0xFFA028
#define NEW_AMBER rgb<255, 160, 40>

using half_and_half = power_sleeve<
  clash_sleeve<
    ramp<
      from_tape<tape1::throb<OLD_AMBER, 0xB45008, 120>>,
      sway<NEW_AMBER, rgb<180, 80, 8>, 2400>>,
    rgb<255, 255, 255>>,
  300, 300>;

using old_collar = power_sleeve<clash_sleeve<from_tape<tape1::collar<tape1::meter<0x101010, OLD_AMBER>, 0x402000, 30>>, NEW_AMBER>, 300, 300>;

wick_slots slots = { slot<half_and_half>("lampoil", "Half and half"), slot<old_collar>("fog", "Old collar") };
