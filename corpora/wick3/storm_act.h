// storm_act.h   Act four. Everything moves and nothing may blind the front row:
//               no flash comes back oftener than three times in a second, see the venue's sheet.
#define WICK_GENERATION 3
#include <wick/pile.h>
#include <wick/compat2.h>
using namespace wick;

constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

// Squall: grey water, whiter when swung hard. The grain of 30 is four pixels; finer turned to snow.
using squall = pile<
  soft_bands<120, 400, rgb<40, 52, 64>, rgb<70, 84, 96>, rgb<52, 60, 80>>,
  veil<css::white, product<swing<500>, held_noise<20, 30>, k<800>>>,
  gleam<css::lightsteelblue, product<held_noise<15, each>, upon<ev::blast, hit<0, 600>>>>,
  on<ev::clash, css::white, burst<80>>,
  power<wipe<220>, chain<wipe<200>, css::slategrey, dissolve<400>>>
>;

// Sheet lightning behind cloud. step_end holds it dark until the very end of each ramp.
using sheet_lightning = pile<
  ramp<stop<100, rgb<10, 10, 26>>, stop<500, rgb<34, 34, 66>>, stop<900, rgb<10, 10, 26>>>,
  veil<css::ghostwhite, product<ease<lfo<saw, 2600>, curve::step_end>, k<900>>>,
  veil<css::lavender, product<ease<lfo<triangle, 1700, 300>, curve::ease_in>, soft_noise<12, each>, k<450>>>,
  on<ev::blast, css::white, hit<0, 500>>,
  power<cut<>, cut<>>
>;

// St. something's fire, they say in the script. Crawls out of the hilt while tilted up.
using mast_fire = pile<
  rgb<30, 20, 60>,
  veil<css::mediumpurple, least<hilt<800>, slew<tilt<>, 600, 200>>>,
  gleam<css::violet, product<near<soft_noise<4, whole>, 200>, strength<ev::blast>>>,
  spot<ev::blast, css::white, 150, hit<0, 400>>,
  spot<ev::melt, css::hotpink, 300, held<100, 300>>,
  power<dissolve<400>, iris<500, 0>>
>;

// Old flip under a new hearth: the flip is the pumps, the hearth is the water coming in.
// The pumps go once in 700 ms, left as found.
using pump_room = pile<
  hearth<flip<rgb<60, 30, 10>, rgb<120, 60, 10>, 700>, rgb<0, 60, 90>, 150, -200>,
  on<ev::clash, css::white, burst<80>>,
  veil<css::black, product<past<since<ev::clash, 900>, 1000>, hilt<60>>>,
  power<wipe<300>, wipe<300>>
>;

// plain
using hove_to = pile<
  bands<500, 250, duty<4, 16, 40>, duty<20, 60, 90>>,
  veil<blend<css::darkred, css::orange, tip<152>>, product<upon<ev::melt, held<0, 0>>, past<along<>, 848>>>,
  veil<css::white, product<upon<ev::lock, held<0, 0>>, lfo<square, 400>>>,
  on<ev::clash, css::white, burst<80>>,
  power<wipe<500>, wipe<500>>
>;

wick_slots slots = {
  slot<squall>("squall", "Squall"),
  slot<sheet_lightning>("sheetl", "Sheet lightning"),
  slot<mast_fire>("mast", "Mast fire"),
  slot<pump_room>("pumps", "Pump room"),
  slot<hove_to>("hoveto", "Hove to"),
};
