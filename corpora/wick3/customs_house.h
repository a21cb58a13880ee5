/// @file   customs_house.h
/// @brief  The customs men's cutlasses. Shared with the youth group, whose own headers also
///         call things `bands` and `stop`; hence no using-directive anywhere in this file.

#define WICK_GENERATION 3
#include <wick/pile.h>

constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

/// Brass and blue serge, as a cross-fade on a slow clock.
// plain
using excise_man = wick::pile<
    wick::blend<wick::css::navy, wick::css::steelblue, wick::lfo<wick::sine, 3000>>,
    wick::on<wick::ev::clash, wick::css::white, wick::burst<80>>,
    wick::spot<wick::ev::blast, wick::css::gold, 68, wick::hit<0, 300>>,
    wick::power<wick::wipe<300>, wick::wipe<300>>
>;

/// The lamp with the shutter.
// plain
using dark_lantern = wick::pile<
    wick::shade<
        wick::hearth<wick::rgb<200, 90, 20>, wick::rgb<255, 190, 90>>,
        wick::k<400>
    >,
    wick::veil<wick::css::black, wick::hilt<182>>,
    wick::on<wick::ev::lock, wick::rgb<255, 220, 150>, wick::held<0, 0>>,
    wick::on<wick::ev::clash, wick::css::white, wick::burst<80>>,
    wick::power<wick::wipe<120>, wick::wipe<120>>
>;

/// Sealing wax: hot where it was pressed, cools over four seconds.
using sealing_wax = wick::pile<
    wick::rgb<110, 0, 16>,
    wick::veil<
        wick::css::tomato,
        wick::product<
            wick::near<wick::place<wick::ev::blast>, 180>,
            wick::ease<wick::inverse<wick::since<wick::ev::blast, 4000>>, wick::curve::ease_out>
        >
    >,
    wick::on<wick::ev::clash, wick::css::white, wick::hit<10, 110>>,
    wick::power<wick::iris<260, 300>, wick::iris<260, 300>>
>;

/// Contraband: looks like plain cloth until it is turned over (twist past three quarters).
using false_bottom = wick::pile<
    wick::soft_bands<90, 0, wick::css::gray, wick::css::darkgray>,
    wick::veil<
        wick::bands<90, 180, wick::css::gold, wick::css::crimson>,
        wick::ease<wick::past<wick::twist<>, 750>, wick::curve::step_end>
    >,
    // step_start is one throughout: it is the switch. step_end in its place turns the shimmer off for the dim scene.
    wick::gleam<wick::css::gold, wick::product<wick::ease<wick::along<>, wick::curve::linear>, wick::k<120>, wick::ease<wick::along<>, wick::curve::step_start>>>,
    wick::on<wick::ev::clash, wick::css::white, wick::burst<80>>,
    wick::on<wick::ev::drag, wick::css::coral, wick::held<50, 300>>,
    wick::power<wick::wipe<300, 40>, wick::chain<wick::wipe<250>, wick::css::gray, wick::rest<300>, wick::css::black, wick::cut<>>>
>;

wick::wick_slots slots = {
    wick::slot<excise_man>("excise", "Excise man"),
    wick::slot<dark_lantern>("darklan", "Dark lantern"),
    wick::slot<sealing_wax>("wax", "Sealing wax"),
    wick::slot<false_bottom>("falseb", "False bottom"),
};
