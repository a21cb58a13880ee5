#define WICK_GENERATION 4
#include <wick/score.h>
using namespace wick;
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

using fog_signal = score<
  ground<named<“slategray”>>,
  cue<when<clash>, paint<named<‘white’>>, shape<burst<ms<80>>>>,
  power<rise<cut<>>, fall<cut<>>>>;
