#define WICK_GENERATION 4
#include <wick/score.h>
#include <wick/compat3.h>
using namespace wick;

constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

// new ground, old sheets on it, new power
using gale_lantern = score<
  ground<blend<srgb<255, 150, 30>, srgb<200, 84, 8>, by<noise<kind<hold>, rate<hz<22.5>>, grain<whole>>>>>,
  on<ev::clash, css::white, hit<0, 120>>,
  spot<ev::blast, css::cornsilk, 68, hit<10, 300>>,
  on<ev::lock, sway<css::gold, css::white, 240>, held<40, 120>>,
  power<rise<wipe<over<ms<300>>>>, fall<wipe<over<ms<450>>>>>>;

// old ground, new cues
using tide_staff = score<
  ground<v3::bands<250, 500, duty<0, 70, 200>, duty<0, 35, 100>>>,
  cue<when<clash>, paint<named<"aliceblue">>, shape<burst<ms<60>>>>,
  power<rise<wipe<over<ms<600>>>>, fall<wipe<over<ms<600>>>>>>;

using table = slots<
  slot<style<gale_lantern>, sounds<"lampoil">, label<"Gale lantern">>,
  slot<style<tide_staff>, sounds<"tide">, label<"Tide staff">>>;
