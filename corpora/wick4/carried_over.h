// carried_over.h
// Carried over from the third generation in one night before the dress rehearsal. Whatever would
// compile stayed as it was; only what would not was rewritten. Per mille and millimetres live
// in the same angle brackets here. v3:: means thousandths, everything with a unit means the unit.

#define WICK_GENERATION 4
#include <wick/score.h>
#include <wick/compat3.h>
using namespace wick;

constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

// plain
using storm_glass = score<
    ground<hearth<rgb<90, 20, 0>, rgb<255, 150, 30>, grain<mm<55>>, speed<mm_s<110>>>>,
    on<ev::clash, css::white, v3::burst<80>>,
    spot<ev::blast, css::cornsilk, 68, hit<0, 300>>,
    power<rise<wipe<over<ms<300>>>>, fall<wipe<over<ms<450>>>>>>;

// The bands are the old ones, so 250 is a quarter of the blade and not a quarter of a metre.
// plain
using quay_steps = score<
    ground<v3::bands<250, 125, rgb<70, 74, 80>, rgb<110, 114, 120>>>,
    on<ev::clash, css::white, v3::burst<80>>,
    on<ev::lock, css::lightyellow, held<0, 0>>,
    cue<when<drag>, paint<css::orangered>, reach<mm<110>>>,
    power<rise<wipe<over<ms<300>>>>, fall<wipe<over<ms<300>>>>>>;

// plain
using widow_lace = score<
    ground<sway<css::indigo, css::orchid, 2200>>,
    veil<css::lavenderblush, by<product<held_noise<9, v3::each>, v3::k<300>>>>,
    spot<ev::lock, css::plum, 273, held<0, 150>>,
    on<ev::clash, css::thistle, v3::burst<80>>,
    power<rise<dissolve<over<ms<400>>>>, fall<dissolve<over<ms<800>>>>>>;

// plain
using mooring_line = score<
    ground<soft_bands<120, 60, css::peru, css::burlywood, css::sienna>>,
    veil<css::black, by<v3::tip<300>>>,
    cue<when<clash>, paint<rgb<255, 250, 230>>, shape<burst<ms<80>>>>,
    power<rise<wipe<over<ms<250>>>>, fall<wipe<over<ms<400>>>>>>;

// Ramp kept as v3::ramp: the new one went through lilac between the blue and the gold.
// plain
using dawn_on_water = score<
    ground<v3::ramp<rgb<10, 30, 90>, rgb<120, 110, 130>, rgb<255, 190, 80>>>,
    veil<rgb<255, 230, 190>, by<product<soft_noise<6, v3::each>, v3::k<250>>>>,
    on<ev::clash, css::white, hit<0, 160>>,
    power<rise<wipe<over<ms<900>>, soft<mm<110>>>>, fall<wipe<over<ms<900>>, soft<mm<110>>>>>>;

// Swing was the last thing anybody wanted to retune. 412.5 is where his wrist actually ends up.
using gaff = score<
    ground<blend<css::steelblue, css::white, by<swing<full<dps<412.5>>>>>>,
    spot<ev::clash, css::white, 200, hit<0, 350>>,
    on<ev::melt, v3::blend<css::darkred, css::yellow, v3::tip<150>>, held<200, 400>>,
    veil<css::deepskyblue, by<v3::upon<ev::ignite, hit<0, 700>>>>,
    power<rise<wipe<over<ms<200>>>>, fall<wipe<over<ms<240>>>>>>;

// Old noise as the weight of a new blend, default space: it looked warmer, so it stays.
using cook_fire = score<
    ground<blend<rgb<70, 12, 0>, rgb<255, 140, 20>, by<held_noise<18, v3::whole>>>>,
    gleam<css::orange, by<product<soft_noise<12, 30>, v3::hilt<400>>>>,
    cue<when<blast>, paint<css::khaki>, scatter<count<10>, reach<mm<120>>>, shape<attack<ms<0>>, decay<ms<450>>>>,
    on<ev::clash, css::white, v3::burst<80>>,
    power<rise<wipe<over<ms<300>>>>, fall<chain<dissolve<over<ms<300>>>, rgb<60, 8, 0>, dissolve<over<ms<1100>>>>>>>;

// Port and starboard by tilt, with the old slew in thousandths of nothing: it is in ms in both.
using binnacle = score<
    ground<v3::blend<css::crimson, css::seagreen, v3::slew<tilt<>, 400, 400>>>,
    veil<css::black, by<v3::past<along<>, 900>>>,
    veil<css::gold, by<v3::near<v3::k<500>, 60>>>,
    cue<when<clash>, paint<css::white>, shape<keys<at<ms<0>, v3::k<1000>>, at<ms<180>, v3::k<0>>, easing<curve::step_end>>>>,
    power<rise<iris<over<ms<350>>>>, fall<iris<over<ms<350>>>>>>;

using table = slots<
    slot<style<storm_glass>, sounds<"stormgl">, label<"Storm glass">>,
    slot<style<quay_steps>, sounds<"steps">, label<"Quay steps">>,
    slot<style<widow_lace>, sounds<"lace">, label<"Widow's lace">>,
    slot<style<mooring_line>, sounds<"mooring">, label<"Mooring line">>,
    slot<style<dawn_on_water>, sounds<"dawn">, label<"Dawn on water">>,
    slot<style<gaff>, sounds<"gaff">, label<"Gaff">>,
    slot<style<cook_fire>, sounds<"cook">, label<"Cook's fire">>,
    slot<style<binnacle>, sounds<"binnacle">, label<"Binnacle">>>;
