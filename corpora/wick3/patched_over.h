// patched_over.h
// What was left of the old box after the controllers were changed. It compiles, I am leaving it.
// The old sleeves count PIXELS, everything else here counts per mille. Read that again before editing.

#define WICK_GENERATION 3
#include <wick/pile.h>
#include <wick/compat2.h>     // sleeves, flip, flutter, dapple, roam, hark, whirl, dim

using namespace wick;

constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

// The whole thing as it was pasted. Clash is whatever the default is now: it used to look longer?
// plain
using keel_haul = power_sleeve<
    blast_sleeve<
        clash_sleeve<flutter<rgb<180, 40, 10>, rgb<255, 120, 30>, 22>, css::white>,
        css::white>,
    300, 450>;

// An old core with new sheets on it, because nobody could get the spot right with the sleeve.
// plain
using ballast = pile<
    collar_sleeve<dapple<duty<40, 30, 20>, duty<120, 90, 50>, 14>, duty<10, 6, 2>, 14>,
    on<ev::clash, css::white, burst<80>>,
    spot<ev::blast, css::cornsilk, 106, hit<0, 340>>,      // 14 px
    power<wipe<320>, wipe<420>>>;

// plain
using boathook = power_sleeve<
    glare_sleeve<
        clash_sleeve<
            whirl<rgb<0, 80, 120>, rgb<160, 220, 255>>,    // default 450 deg/s, do not touch
            css::white, 80>,
        css::aqua, 120>,                                   // on and off while locked
    180, 240>;

// plain
using rat_line = power_sleeve<
    edge_sleeve<
        lock_sleeve<
            clash_sleeve<dim<sway<css::tan, css::wheat, 1600>, 70>, css::white, 90>,
            css::white, css::orangered, 10>,
        css::white, 4>,
    260, 260>;

// roam wants pixels (30) though the veil above it wants per mille. Yes, I know.
using marsh_light = pile<
    roam<rgb<10, 40, 20>, rgb<150, 255, 140>, 30>,
    veil<css::black, product<tip<300>, soft_noise<5, 100>>>,
    on<ev::clash, css::mintcream, hit<20, 160>>,
    power<dissolve<700>, dissolve<1500>>>;

// hark inside a sheet. The old paint hears quicker than sound<90> and looks better for it.
using drowned_bell = pile<
    hearth<css::darkslateblue, css::mediumslateblue, 80, 60>,
    veil<hark<css::darkslateblue, css::lavender>, hilt<600>>,
    on<ev::clash, css::white, burst<80>>,
    on<ev::lock, flip<css::lavender, css::slateblue, 160>, held<0, 120>>,
    power<wipe<600, 200>, wipe<900, 200>>>;

/* melt_sleeve under a gleam. The lamp oil burns off the tip while the rest goes on as it was. */
using burning_tip = pile<
    melt_sleeve<
        clash_sleeve<bands<250, 120, rgb<140, 30, 0>, rgb<200, 60, 0>>, css::white, 80>,
        css::darkred, css::yellow, 18>,
    gleam<css::orangered, product<upon<ev::melt, held<200, 600>>, tip<220>, held_noise<30, 60>, k<500>>>,
    power<wipe<300>, wipe<500>>>;

wick_slots slots = {
    slot<keel_haul>("keel", "Keel haul"),
    slot<ballast>("ballast", "Ballast"),
    slot<boathook>("hook", "Boathook"),
    slot<rat_line>("ratline", "Rat line"),
    slot<marsh_light>("marsh", "Marsh light"),
    slot<drowned_bell>("drowned", "Drowned bell"),
    slot<burning_tip>("burntip", "Burning tip"),
};
