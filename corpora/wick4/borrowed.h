/// @file   borrowed.h
/// @brief  On loan to the youth group, 120 px. Their headers define `on` and `at`, so every name
///         of ours is written out. Wherever the old form was shorter I kept the old form.

#define WICK_GENERATION 4
#include <wick/score.h>
#include <wick/compat3.h>

constexpr int blade_pixels = 120;
constexpr int pixels_per_metre = 144;

// plain
using tide_bell = wick::score<
    wick::ground<wick::v3::blend<wick::css::navy, wick::css::steelblue, wick::v3::lfo<wick::sine, 3000>>>,
    wick::on<wick::ev::clash, wick::css::white, wick::v3::burst<80>>,
    wick::spot<wick::ev::blast, wick::css::gold, 75, wick::hit<0, 300>>,
    wick::power<
        wick::rise<wick::wipe<wick::over<wick::ms<300>>>>,
        wick::fall<wick::wipe<wick::over<wick::ms<300>>>>
    >
>;

// plain
using shuttered = wick::score<
    wick::ground<wick::v3::shade<wick::v3::hearth<wick::rgb<200, 90, 20>, wick::rgb<255, 190, 90>, 50, 100>, wick::v3::k<400>>>,
    wick::veil<wick::css::black, wick::by<wick::hilt<wick::mm<150>>>>,
    wick::on<wick::ev::lock, wick::css::bisque, wick::held<0, 60>>,
    wick::cue<wick::when<wick::clash>, wick::paint<wick::css::white>, wick::shape<wick::burst<wick::ms<80>>>>,
    wick::power<
        wick::rise<wick::wipe<wick::over<wick::ms<120>>>>,
        wick::fall<wick::wipe<wick::over<wick::ms<120>>>>
    >
>;

/// Wax: hot where pressed, cools over four seconds. The old `since` with the new easing.
// plain
using wax_seal = wick::score<
    wick::ground<wick::rgb<110, 0, 16>>,
    wick::veil<
        wick::css::tomato,
        wick::by<wick::product<
            wick::v3::near<wick::place<wick::ev::blast>, 180>,
            wick::ease<wick::inverse<wick::v3::since<wick::ev::blast, 4000>>, wick::curve::ease_out>
        >>
    >,
    wick::on<wick::ev::clash, wick::css::white, wick::hit<10, 110>>,
    wick::power<
        wick::rise<wick::iris<wick::over<wick::ms<260>>, wick::at<wick::pct<30>>>>,
        wick::fall<wick::iris<wick::over<wick::ms<260>>, wick::at<wick::pct<30>>>>
    >
>;

/// Cargo seen through the hatch: soft bands that hardly move, louder when the crowd is.
using through_the_hatch = wick::score<
    wick::ground<wick::blend<
        wick::soft_bands<90, 30, wick::css::gray, wick::css::darkgray>,
        wick::sway<wick::css::gold, wick::css::goldenrod, 1400>,
        wick::by<wick::most<wick::v3::sound<60>, wick::v3::swing<600>>>
    >>,
    wick::gleam<wick::css::gold, wick::by<wick::product<wick::held_noise<14, 50>, wick::k<wick::pct<12>>>>>,
    wick::on<wick::ev::drag, wick::css::coral, wick::held<50, 300>>,
    wick::on<wick::ev::clash, wick::css::white, wick::v3::burst<80>>,
    wick::power<
        wick::rise<wick::wipe<wick::over<wick::ms<300>>, wick::soft<wick::mm<30>>>>,
        wick::fall<wick::cut<>>
    >
>;

using table = wick::slots<
    wick::slot<wick::style<tide_bell>, wick::sounds<"tidebell">, wick::label<"Tide bell">>,
    wick::slot<wick::style<shuttered>, wick::sounds<"shutter">, wick::label<"Shuttered lamp">>,
    wick::slot<wick::style<wax_seal>, wick::sounds<"wax">, wick::label<"Wax seal">>,
    wick::slot<wick::style<through_the_hatch>, wick::sounds<"hatch">, wick::label<"Through the hatch">>
>;
