#define WICK_GENERATION 3
#include <wick/pile.h>
using namespace wick;
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

using beacon = pile<
  blend<css::black, css::white, lfo<square, 2000>>,
  on<ev::clash, css::white, hit<0, 90>>,
  power<iris<400, 500>, dissolve<700>>;

using toll_stick = pile<css::indigo, on<ev::clash, css::white, burst<100>>, power<wipe<250>, wipe<250>>>;
