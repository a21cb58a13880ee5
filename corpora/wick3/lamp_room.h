// lamp_room.h - the six blades that hang left of the stage door, Lantern Quay Players.
//
// These began in pixels. The pixel count stays beside each per mille so that the
// next of us does not have to work it out backwards (132 px, 1 px = 7.58 per mille).

#define WICK_GENERATION 3
#include <wick/pile.h>
using namespace wick;

constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

// house colours, as duties: matched by eye against the real oil lamp
using lamp_gold  = duty<255, 110, 18>;
using lamp_low   = duty<150, 52, 6>;
using chalk      = duty<255, 240, 214>;

// plain
using storm_lantern = pile<
    hearth<lamp_low, lamp_gold, 91, 91>,               // 12 px, rising 12 px/s
    on<ev::clash, chalk, burst<80>>,
    spot<ev::blast, chalk, 68, hit<0, 300>>,           // 9 px
    power<wipe<300>, wipe<450>>>;

// The watch lamp breathes. 2.4 s is slower than any of us breathe, which is why it reads as calm.
// plain
using night_watch = pile<
    blend<lamp_gold, lamp_low, lfo<sine, 2400>>,
    spot<ev::blast, chalk, 91, hit<0, 260>>,           // 12 px
    on<ev::clash, css::white, burst<60>>,
    power<wipe<280>, wipe<600>>>;

// plain
using wick_trim = pile<
    blend<duty<200, 84, 10>, lamp_gold, held_noise<18, whole>>,   // whole flame at once, 18 Hz
    veil<duty<60, 10, 0>, hilt<76>>,                   // 10 px of brass collar
    on<ev::clash, chalk, burst<80>>,
    spot<ev::blast, duty<255, 255, 255>, 68, hit<0, 300>>,
    edge<duty<255, 200, 120>, 23>,                     // 3 px
    power<wipe<350>, wipe<350>>>;

// Lamp glass with soot on it: each pixel flickers for itself.
// plain
using sooted_glass = pile<
    blend<duty<120, 40, 4>, duty<220, 92, 14>, held_noise<12, each>>,
    veil<chalk, hilt<45>>,                             // 6 px
    spot<ev::lock, css::white, 273, held<0, 0>>,       // 36 px, with the 12 px drag below
    veil<duty<255, 70, 0>, product<upon<ev::drag, held<0, 0>>, past<along<>, 909>>>,
    on<ev::clash, chalk, burst<70>>,
    power<wipe<240>, wipe<400>>>;

// plain
using gallery_lamp = pile<
    ramp<duty<255, 96, 10>, duty<255, 150, 44>, duty<255, 196, 110>>,
    on<ev::clash, css::ivory, burst<90>>,
    on<ev::lock, duty<255, 255, 200>, held<0, 0>>,
    veil<blend<duty<255, 60, 0>, duty<255, 220, 120>, tip<121>>,         // 16 px glowing tip
         product<upon<ev::melt, held<0, 0>>, past<along<>, 879>>>,
    power<wipe<500>, wipe<500>>>;

// Not plain: the smoke comes off the tip after the flame is out, and sleeves cannot do that.
using snuffed_out = pile<
    shade<hearth<lamp_low, lamp_gold>, k<620>>,
    gleam<css::slategray, product<tip<400>, upon<ev::retract, hit<120, 900>>, soft_noise<6, 30>>>,
    on<ev::clash, chalk, burst<80>>,
    spot<ev::blast, chalk, 68, hit<20, 280>>,
    power<wipe<300, 60>, chain<dissolve<500>, css::dimgray, dissolve<900>>>>;

wick_slots slots = {
    slot<storm_lantern>("stormlan", "Storm lantern"),
    slot<night_watch>("nwatch", "Night watch"),
    slot<wick_trim>("trim", "Trimming the wick"),
    slot<sooted_glass>("soot", "Sooted glass"),
    slot<gallery_lamp>("gallery", "Gallery lamp"),
    slot<snuffed_out>("snuffed", "Snuffed out"),
};
