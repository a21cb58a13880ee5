// Generation 4. The slope of the sunset oar was taken over word for word.
#define WICK_GENERATION 4
#include <wick/score.h>
#include <wick/compat3.h>
using namespace wick;

constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

using sunset_oar = score<
  ground<ramp<rgb<255, 0, 0>, rgb<0, 0, 255>>>,            // from the wick 3 file: was it this purple?
  cue<when<clash>, paint<named<"white">>, shape<burst<ms<80>>>>,
  power<rise<wipe<over<ms<300>>>>, fall<wipe<over<ms<300>>>>>>;

using sunset_oar_as_it_was = score<
  ground<v3::ramp<rgb<255, 0, 0>, rgb<0, 0, 255>>>,
  cue<when<clash>, paint<named<"white">>, shape<burst<ms<80>>>>,
  power<rise<wipe<over<ms<300>>>>, fall<wipe<over<ms<300>>>>>>;

using table = slots<
  slot<style<sunset_oar>, sounds<"ferry">, label<"Sunset oar">>,
  slot<style<sunset_oar_as_it_was>, sounds<"ferry">, label<"Sunset oar, old slope">>>;
