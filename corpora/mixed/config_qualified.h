#define WICK_GENERATION 4
#include <wick/score.h>
#include <wick/compat3.h>
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

namespace stagehands {
using namespace wick;
// pulled in with using, spelled out, or half and half: three people wrote this
using net = score<
  ground<wick::blend<srgb<20, 24, 30>, wick::srgb<60, 72, 80>, by<wick::held_noise<12, 1000>>>>,
  power<rise<cut<>>, fall<cut<>>>>;
}

using ghost_net = wick::score<
  wick::ground<wick::soft_bands<167, -333, wick::rgb<20, 24, 30>, wick::rgb<60, 72, 80>>>,
  wick::veil<wick::css::honeydew, wick::by<wick::near<wick::held_noise<50, 1000>, wick::width<wick::mm<300>>>>>,
  wick::power<wick::rise<wick::wipe<wick::over<wick::ms<700>>>>, wick::fall<wick::wipe<wick::over<wick::ms<1500>>>>>>;

using table = wick::slots<wick::slot<wick::style<ghost_net>, wick::sounds<"net">, wick::label<"Ghost net">>>;
