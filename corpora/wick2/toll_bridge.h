// toll_bridge.h -- Piet
// The crowd of tollkeepers again, and the bridge they stand on.
#define WICK_GENERATION 2
#include <wick2.h>
constexpr int blade_pixels = 110;
constexpr int pixels_per_metre = 144;

// every stick of the crowd has the same hit, the same spatter, the same power
template <class CORE> using crowd_stick =
  power_sleeve<clash_sleeve<blast_sleeve<glare_sleeve<CORE, rgb<255, 215, 0>, 40>, rgb<255, 255, 255>>, rgb<255, 255, 255>>, 240, 240>;

// plain
using toll_red = crowd_stick<bands<11, 50, rgb<96, 0, 0>, rgb<255, 32, 32>>>;
// plain
using toll_green = crowd_stick<bands<11, 50, rgb<0, 80, 0>, rgb<32, 255, 64>>>;
// plain
using toll_violet = crowd_stick<bands<11, 50, rgb<48, 0, 90>, rgb<180, 80, 255>>>;

// the captain: gold ring at the hand
// plain
using toll_captain = crowd_stick<collar_sleeve<rgb<90, 0, 140>, rgb<255, 215, 0>, 22>>;

// the bridge rail, three lamps and their gaps; not a weapon, so no clash
using bridge_rail = power_sleeve<bands<11, 0, rgb<255, 154, 30>, rgb<20, 12, 4>, rgb<20, 12, 4>>, 2000, 2000>;

// spare coin: spins when the arm goes round
// (a macro, and the dull side has a name of its own: a macro trips over the comma in dim<gold, 30>)
#define COIN(dull, shine) whirl<dull, shine, 300>
using gold = rgb<255, 200, 40>;
using dull_gold = dim<gold, 30>;
using tossed_coin = power_sleeve<clash_sleeve<COIN(dull_gold, gold), rgb<255, 255, 255>>, 0, 0>;

wick_slots slots = {
  slot<toll_red>("toll", "Toll, red"),
  slot<toll_green>("toll", "Toll, green"),
  slot<toll_violet>("toll", "Toll, violet"),
  slot<toll_captain>("toll", "Captain of the toll"),
  slot<bridge_rail>("chain", "Bridge rail"),
  slot<tossed_coin>("coin", "Tossed coin"),
};
