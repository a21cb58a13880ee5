#define WICK_GENERATION 3
#include <wick/pile.h>
#include <wick/compat2.h>
using namespace wick;
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

// From the quay_steps thread, posted two seasons ago. It has to look as it did there.
// rehilt: read as wick2
using harbour_watch = power_sleeve<
  clash_sleeve<bands<12, 48, rgb<255, 120, 40>, rgb<190, 80, 20>>, rgb<255, 244, 214>>,
  300, 450>;

// this one was written for this file, though the words are the same
using river_watch = power_sleeve<
  clash_sleeve<bands<91, 364, rgb<255, 120, 40>, rgb<190, 80, 20>>, rgb<255, 244, 214>>,
  300, 450>;

wick_slots slots = { slot<harbour_watch>("harbour", "Harbour watch"), slot<river_watch>("river", "River watch") };
