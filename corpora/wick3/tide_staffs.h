// tide_staffs.h
// The tide clerk's measuring staffs. One metre of the sparse strip (100 to the metre), so one
// pixel is exactly ten per mille. Nothing else in the house is this kind to arithmetic.

#define WICK_GENERATION 3

#include <wick/pile.h>

using namespace wick;

constexpr int blade_pixels     = 100;
constexpr int pixels_per_metre = 100;

constexpr int mark    = 50;    // a tide mark, 5 px
constexpr int fathom  = 200;   // four of them

using foam   = css::aliceblue;
using silt   = rgb<96, 72, 40>;
using shoal  = rgb<60, 130, 120>;


// Slack water: marks that do not move.
// plain
using slack_water = pile<
  bands<mark, 0, silt, shoal>,
  on<ev::clash, foam, burst<80>>,
  spot<ev::blast, foam, 90, hit<0, 300>>,
  power<wipe<700>, wipe<700>>
>;

// Flood: a fathom at a time, up the staff.
// plain
using flood_tide = pile<
  bands<fathom, 100, shoal, css::cadetblue, silt>,
  on<ev::clash, foam, burst<80>>,
  veil<css::black, hilt<120>>,
  power<wipe<700>, wipe<900>>
>;

// plain
using tide_fire = pile<
  hearth<rgb<30, 90, 90>, rgb<120, 220, 190>, 60, 120>,    // 6 px, 12 px a second
  spot<ev::lock, foam, 360, held<0, 0>>,
  veil<css::orangered, product<upon<ev::drag, held<0, 0>>, past<along<>, 880>>>,
  on<ev::clash, css::white, burst<80>>,
  power<wipe<400>, wipe<400>>
>;

// plain
using mud_flat = pile<
  shade<ramp<silt, css::tan, css::wheat>, k<450>>,
  on<ev::clash, foam, burst<50>>,
  edge<css::wheat, 40>,
  power<wipe<600>, wipe<600>>
>;

/*
 * The gauge. A bright float rides up the staff as he stands it upright; the black above and
 * below closes in round the middle of the tilt. Slewed, because his hand shakes in act three.
 */
using tide_gauge = pile<
  ramp<stop<0, css::darkslategray>, stop<350, css::teal>, stop<1000, css::aquamarine>>,
  veil<css::black, inverse<near<product<tilt<>, k<500>>, 1000>>>,
  veil<foam, near<slew<tilt<>, 250, 250>, 60>>,
  on<ev::clash, css::white, burst<80>>,
  power<wipe<700, 20>, wipe<700, 20>>
>;

// Twist the staff and the moon changes side.
using moon_staff = pile<
  blend<css::darkblue, css::lightsteelblue, ease<twist<>, curve::ease_in_out>>,
  gleam<css::ghostwhite, product<near<twist<>, 240>, k<350>>>,
  spot<ev::blast, css::whitesmoke, 120, hit<40, 500>>,
  on<ev::clash, css::white, hit<0, 120>>,
  power<iris<800, 0>, iris<800, 1000>>
>;

// Neaps: two sources, whichever is higher.
using neap_tide = pile<
  blend<silt, shoal, most<lfo<triangle, 6000>, lfo<triangle, 4200, 500>>>,
  veil<foam, past<product<along<>, lfo<triangle, 6000>>, 640>>,
  on<ev::clash, foam, burst<80>>,
  on<ev::melt, css::firebrick, held<300, 700>>,
  power<cut<>, dissolve<1500>>
>;

wick_slots slots = {
  slot<slack_water>("slack",  "Slack water"),
  slot<flood_tide> ("flood",  "Flood tide"),
  slot<tide_fire>  ("tfire",  "Tide fire"),
  slot<mud_flat>   ("mud",    "Mud flat"),
  slot<tide_gauge> ("gauge",  "Tide gauge"),
  slot<moon_staff> ("moon",   "Moon staff"),
  slot<neap_tide>  ("neap",   "Neap tide"),
};
