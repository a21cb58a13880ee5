// Same numbers as on the old blade, Elowen says, and still the copper came out darker.
#define WICK_GENERATION 3
#include <wick/pile.h>
using namespace wick;

constexpr int blade_pixels = 144;
constexpr int pixels_per_metre = 144;

using copper_kettle = pile<
  ramp<rgb<140, 70, 20>, rgb<190, 110, 60>>,      // numbers copied from the wick 2 file
  on<ev::clash, rgb<255, 255, 255>, burst<80>>,   // white is white in both
  power<wipe<300>, wipe<300>>>;

using signal_red = pile<
  rgb<255, 0, 0>,                                 // so is full red
  on<ev::clash, rgb<255, 255, 255>, burst<80>>,
  power<wipe<300>, wipe<300>>>;

wick_slots slots = {
  slot<copper_kettle>("kettle", "Copper kettle"),
  slot<signal_red>("signal", "Signal red"),
};
