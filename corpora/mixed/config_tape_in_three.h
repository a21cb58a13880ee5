// Worked on the old box, where sleeves took tape paints. It does not compile on this one.
#define WICK_GENERATION 3
#include <wick/pile.h>
#include <wick/compat2.h>
using namespace wick;
constexpr int blade_pixels = 72;
constexpr int pixels_per_metre = 144;

using lamp_first = power_sleeve<
  clash_sleeve<
    from_tape<tape1::throb<0xFF9A1E, 0x7A2C00, 150>>,
    css::moccasin>,
  1000, 2000>;

using lamp_second = pile<
  blend<css::darkorange, css::moccasin, past<held_noise<50, each>, 976>>,
  on<ev::clash, css::white, burst<80>>,
  power<wipe<1000>, wipe<1000>>>;

wick_slots slots = { slot<lamp_first>("lampoil", "First lamp"), slot<lamp_second>("tallow", "Second lamp") };
