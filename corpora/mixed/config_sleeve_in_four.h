#define WICK_GENERATION 4
#include <wick/score.h>
#include <wick/compat3.h>
using namespace wick;
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

using lamp_oil = score<
  ground<blend<named<"orangered">, named<"maroon">, by<lfo<sine, period<ms<2400>>>>, in<linear>>>,
  cue<when<clash>, paint<named<"white">>, shape<burst<ms<80>>>>,
  power<rise<wipe<over<ms<300>>>>, fall<wipe<over<ms<900>>>>>>;

// two generations too old for this file
using low_wick = power_sleeve<clash_sleeve<flutter<rgb<255, 28, 0>, rgb<191, 21, 0>>, rgb<255, 244, 214>>, 500, 700>;

using table = slots<
  slot<style<lamp_oil>, sounds<"lampoil">, label<"Lamp oil">>,
  slot<style<low_wick>, sounds<"lampoil">, label<"Low wick">>>;
