#define WICK_GENERATION 3
#include <wick/pile.h>
using namespace wick;
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

/* Ferrymen's blades, act one. One line each where it fits; I print these and pin them up
   behind the flat, so short names and no wrapping if I can help it. */

// river, cold, moving to the tip a quarter of the blade a second
// plain
using ferry_down = pile<bands<250, 250, rgb<0, 90, 160>, rgb<0, 150, 190>>, on<ev::clash, css::white, burst<80>>, power<wipe<300>, wipe<300>>>;

// same river on the way home
// plain
using ferry_up = pile<bands<250, -250, rgb<0, 90, 160>, rgb<0, 150, 190>>, on<ev::clash, css::white, burst<80>>, power<wipe<300>, wipe<300>>>;

// plain
using fare_paid = pile<sway<css::goldenrod, css::darkgoldenrod, 1800>, spot<ev::blast, css::lightyellow, 68, hit<0, 300>>, on<ev::clash, css::white, burst<80>>, power<wipe<250>, wipe<320>>>;

// the pole: greener the harder he swings
// plain
using punt_pole = pile<blend<css::darkolivegreen, css::yellowgreen, swing<600>>, on<ev::clash, css::honeydew, burst<60>>, edge<css::white, 45>, power<wipe<200>, wipe<260>>>;

// soft river for the dream: bands cross-fade, nothing hard anywhere
using ferry_dreamt = pile<soft_bands<180, 60, rgb<20, 60, 120>, rgb<40, 110, 150>, rgb<20, 60, 120>, rgb<70, 70, 140>>,
    veil<css::midnightblue, product<tip<500>, soft_noise<2, whole>>>, on<ev::clash, css::lavender, hit<40, 400>>,
    power<dissolve<900>, dissolve<1400>>>;

// wake: a bright hump runs hilt to tip every 1.6 s, and the lamp at the bow answers late
using bow_wave = pile<rgb<0, 70, 110>, veil<css::paleturquoise, near<lfo<saw, 1600>, 160>>, gleam<css::teal, product<near<lfo<saw, 1600, 850>, 260>, k<400>>>,
    on<ev::clash, css::white, burst<80>>, spot<ev::blast, css::azure, 90, hit<0, 240>>, power<wipe<260, 120>, wipe<340, 120>>>;

// tiller: tilt chooses between port and starboard, slewed so it does not twitch
using tiller = pile<blend<css::crimson, css::seagreen, slew<tilt<>, 400, 400>>, on<ev::clash, css::white, burst<80>>, on<ev::lock, css::gold, held<60, 200>>, power<iris<350, 500>, iris<500, 500>>>;

wick_slots slots = {
  slot<ferry_down>("ferrydn", "Ferry, downstream"), slot<ferry_up>("ferryup", "Ferry, upstream"),
  slot<fare_paid>("fare", "Fare paid"),             slot<punt_pole>("pole", "Punt pole"),
  slot<ferry_dreamt>("dream", "Ferry, dreamt"),     slot<bow_wave>("bow", "Bow wave"),
  slot<tiller>("tiller", "Tiller"),
};
