// understudies.h -- five blades, one hand. If a style is here, somebody else's blade broke.
//
// Everything that all five share is a macro or a template, so that a change of clash
// (and there is always a change of clash, the week before) is a change in one place.

#define WICK_GENERATION 3
#include <wick/pile.h>
#include <wick/compat2.h>
using namespace wick;

constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

constexpr int kClash = 0x50;                            // 80 ms
constexpr int kSpot  = (9 * 1000 / blade_pixels);       // nine pixels, as always: 68
constexpr int kCall  = 1'100;                           // the prompter's knock, in ms

#define FLASHWHITE css::white
#define HOUSE_SHEETS \
    on<ev::clash, FLASHWHITE, burst<kClash>>, \
    spot<ev::blast, FLASHWHITE, kSpot, hit<0, 300>>
#define UNDERSTUDY(NAME, DARK, LIGHT, MS) \
    using NAME = pile<blend<DARK, LIGHT, lfo<sine, MS>>, HOUSE_SHEETS, power<wipe<300>, wipe<400>>>

template <class A, class B>
using two_wave = blend<A, B, product<lfo<sine, kCall>, lfo<sine, (kCall * 3 / 2), 250>>>;

template <int MS>
using soft_power = power<wipe<MS, 80>, wipe<(MS * 2), 80>>;

using us_amber = rgb<255, 170, 40>;
using us_rust  = rgb<150, 70, 20>;
using us_deep  = rgb<20, 70, 110>;     // named because a macro would trip over the commas
using us_river = rgb<60, 160, 200>;

// plain
UNDERSTUDY(second_ferryman, us_deep, us_river, 2200);

// plain
UNDERSTUDY(second_clerk, us_rust, us_amber, kCall);

using second_widow = pile<
    two_wave<css::indigo, css::orchid>,
    HOUSE_SHEETS,
    on<ev::ignite, css::lavenderblush, hit<100, 900>>,
    soft_power<260>>;

// He moves too little for swing alone; twist helps him. The ease is there to wake the low end.
using second_lampman = pile<
    two_wave<us_rust, us_amber>,
    veil<css::papayawhip, ease<most<swing<300>, product<twist<>, k<600>>>, curve::ease>>,
    HOUSE_SHEETS,
    spot<ev::lock, css::white, (kSpot * 3), held<0, 150>>,
    soft_power<320>>;

// The old flutter on the hilt half: its 40 Hz was tuned on the real prop with a real cold.
using second_bell = pile<
    us_rust,
    veil<flutter<us_amber, us_rust, 40>, hilt<550>>,
    veil<dim<us_amber, 35>, past<inverse<along<>>, 900>>,
    HOUSE_SHEETS,
    power<cut<>, chain<wipe<300>, us_rust, rest<100>, css::black, cut<>>>>;

wick_slots slots = {
    slot<second_ferryman>("us1", "Understudy ferryman"),
    slot<second_clerk>("us2", "Understudy clerk"),
    slot<second_widow>("us3", "Understudy widow"),
    slot<second_lampman>("us4", "Understudy lampman"),
    slot<second_bell>("us5", "Understudy bell"),
};
