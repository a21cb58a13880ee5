#define WICK_GENERATION 3
#include <wick/pile.h>
#include <wick/compat2.h>
#include "config_house_colours.h"
#include "never_copied_over.h"
using namespace wick;
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

using lamp_oil = pile<
  sway<HOUSE_OIL, shade<HOUSE_OIL, k<500>>, 2400>,
  on<ev::clash, HOUSE_BONE, burst<80>>,
  power<wipe<house_rise>, wipe<900>>>;
using low_wick = power_sleeve<clash_sleeve<flutter<HOUSE_OIL, dim<HOUSE_OIL, 75>>, house_foam, 80>, house_rise, 700>;

wick_slots slots = { slot<lamp_oil>("lampoil", "Lamp oil"), slot<low_wick>("lampoil", "Low wick") };
