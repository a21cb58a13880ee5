#define WICK_GENERATION 3
#include <wick/pile.h>
#include <wick/compat2.h>
using namespace wick;
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

// The grain was 18 pixels where this was written.
using fog_bank = power_sleeve<hearth<duty<40, 48, 56>, duty<112, 128, 140>, 18>, 1200, 1600>;

// no third argument, so no trap? the default differs as well
using stove = power_sleeve<clash_sleeve<hearth<duty<96, 24, 0>, duty<255, 200, 100>>, css::white, 80>, 500, 200>;

wick_slots slots = { slot<fog_bank>("fog", "Fog bank"), slot<stove>("stove", "Stove") };
