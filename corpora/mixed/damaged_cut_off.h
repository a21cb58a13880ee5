#define WICK_GENERATION 4
#include <wick/score.h>
using namespace wick;
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

using tide_staff = score<
  ground<bands<paints<srgb<0, 140, 230>, srgb<0, 98, 168>>, width<mm<229>>, speed<mm_s<694>>>>,
  cue<when<clash>, paint<named<"white">>, shape<burst<ms<8