// customs flag. half a second red, half a second white  -- the comment is older than the line under it
#define WICK_GENERATION 2
#include <wick2.h>
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

using customs_flag = power_sleeve<clash_sleeve<flip<rgb<200, 0, 0>, rgb<200, 200, 200>, 50>, rgb<255, 255, 255>>, 300, 300>;
using customs_flag_old = power_sleeve<clash_sleeve<from_tape<tape1::flip<0xC80000, 0xC8C8C8, 50>>, rgb<255, 255, 255>>, 300, 300>;

wick_slots slots = { slot<customs_flag>("toll", "Customs flag"), slot<customs_flag_old>("toll", "Customs flag, old clock") };
