#define WICK_GENERATION 4
#include <wick/pile.h>
using namespace wick;
constexpr int blade_pixels = 120;
constexpr int pixels_per_metre = 144;

using beacon = pile<
  blend<css::black, css::white, lfo<square, 2000>>,
  gleam<css::orangered, tip<150>>,
  on<ev::clash, css::white, hit<0, 90>>,
  power<iris<400, 500>, dissolve<700>>>;

// somebody began to move it
using beacon_new = score<
  ground<blend<named<"black">, named<"white">, by<lfo<square, period<ms<2000>>>>>>,
  gleam<named<"orangered">, by<tip<mm<125>>>>>;

wick_slots slots = { slot<beacon>("beacon", "Beacon") };
