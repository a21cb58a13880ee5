// harbour_lights.h
//
// Occulting, isophase, fixed: what the lights round our harbour really do, read off the chart
// and slowed to half, because at full rate people in row A looked at the blades and not at the play.

#define WICK_GENERATION 3
#include <wick/pile.h>
#include <wick/compat2.h>
using namespace wick;

constexpr int blade_pixels     = 132;
constexpr int pixels_per_metre = 144;

constexpr int chart     = 6000;               // ms, all leading lights keep step
constexpr int half_turn = (chart / 2);
using          port_red  = rgb<200, 16, 24>;
using          stbd_grn  = rgb<10, 150, 70>;

// isophase: light and dark equal
// plain
using pier_head = pile<
    blend<port_red, css::black, lfo<square, chart>>,
    on<ev::clash,          css::white,                     burst<80>>,
    spot<ev::blast,        css::white,          68,        hit<0, 300>>,
    power<wipe<300>,       wipe<300>>>;

// plain
using mole_light = pile<
    blend<sway<stbd_grn, css::darkgreen, half_turn>, css::white, swing<>>,
    veil<css::black,       hilt<91>>,
    on<ev::clash,          css::white,                     burst<80>>,
    power<wipe<300>,       wipe<300>>>;

// occulting: dark for the last part only. step_start is lit all through, `past` takes the end
// away, and the second ease lets the glass cool; ease_in_out because a filament is slow at both ends.
using leading_light = pile<
    css::black,
    veil<css::cornsilk,    product<ease<lfo<saw, chart>, curve::step_start>, inverse<past<lfo<saw, chart>, 700>>>>,
    veil<css::orange,      product<ease<inverse<lfo<saw, chart>>, curve::ease_in_out>, k<250>>>,
    on<ev::clash,          css::white,                     hit<0, 140>>,
    edge<css::cornsilk,    30>,
    power<cut<>,           chain<rest<200>, css::sienna, dissolve<600>>>>;

// The lamp machinery: sector light swept by a slow saw. linear is written out so that whoever
// comes next sees that I tried the others first.
using sector_light = pile<
    ramp<stop<0, port_red>, stop<450, css::white>, stop<550, css::white>, stop<1000, stbd_grn>>,
    veil<css::black,       inverse<near<ease<lfo<saw, chart>, curve::linear>, 420>>>,
    gleam<css::white,      product<near<ease<lfo<saw, chart, 40>, curve::linear>, 90>, k<300>>>,
    on<ev::retract,        css::black,                     hit<250, 100>>,
    on<ev::clash,          css::white,                     burst<80>>,
    power<iris<400, 500>,  iris<400, 500>>>;

// Gas buoy. flutter and collar from the old box, at their defaults (50 Hz, and look up the clash!).
using gas_buoy = pile<
    collar_sleeve<clash_sleeve<flutter<css::lemonchiffon, css::palegoldenrod>, css::white>, css::darkslategray, 20>,
    veil<css::black,       product<ease<lfo<saw, half_turn>, curve::step_end>, k<850>>>,
    on<ev::lock,           dapple<css::white, css::gold>,  held<30, 90>>,
    power<wipe<350>,       wipe<350>>>;

// Storm cone: harder struck is redder. ease because a plain strength looked like three settings.
using storm_cone = pile<
    blend<css::dimgrey, port_red, ease<most<strength<ev::clash>, strength<ev::blast>, k<80>>, curve::ease>>,
    veil<css::white,       product<ease<upon<ev::clash, hit<0, 500>>, curve::ease_out>, near<place<ev::clash>, 400>>>,
    veil<port_red,         product<ease<lfo<triangle, half_turn>, curve::ease_in_out>, most<tip<200>, hilt<200>>>>,
    on<ev::blast,          css::white,                     hit<0, 200>>,
    power<wipe<300>,       wipe<300>>>;

// Wreck mark, green, two and one. The cell-wise noise is weed; the step at the end is the bell.
using wreck_mark = pile<
    blend<stbd_grn, css::seagreen, held_noise<8, each>>,
    veil<css::white,       least<ease<since<ev::blast, 600>, curve::step_end>, inverse<ease<since<ev::blast, 1200>, curve::ease_in>>>>,
    veil<css::palegreen,   product<soft_noise<10, each>, ease<along<>, curve::ease>, ease<sound<60>, curve::step_start>>>,
    on<ev::clash,          css::white,                     burst<80>>,
    power<wipe<300, 50>,   dissolve<500>>>;

wick_slots slots = {
    slot<pier_head>("pierhead", "Pier head"),
    slot<mole_light>("mole", "Mole light"),
    slot<leading_light>("leading", "Leading light"),
    slot<sector_light>("sector", "Sector light"),
    slot<gas_buoy>("gasbuoy", "Gas buoy"),
    slot<storm_cone>("cone", "Storm cone"),
    slot<wreck_mark>("wreck", "Wreck mark"),
};
