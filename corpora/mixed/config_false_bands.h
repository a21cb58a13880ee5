// Ninth lamp, generation 3. Joost pasted the ripples from the old harbour_watch:
// twelve pixels wide, 48 pixels a second. "It looks finer now, must be the new controller."
#define WICK_GENERATION 3
#include <wick/pile.h>
#include <wick/compat2.h>
using namespace wick;

constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

using harbour_watch = power_sleeve<
  blast_sleeve<
    clash_sleeve<
      bands<12, 48, rgb<255, 120, 40>, rgb<190, 80, 20>>,
      rgb<255, 244, 214>, 60>,
    rgb<210, 240, 255>, 9, 300>,
  300, 450>;

wick_slots slots = { slot<harbour_watch>("harbour", "Harbour watch") };
