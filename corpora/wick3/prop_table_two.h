/* PROP TABLE TWO. Short blades (24 inch, 96 px) so that the children can swing them.
   Commas lead: I lost an evening to a trailing one once.                              */
#define WICK_GENERATION 3
#include <wick/pile.h>
using namespace wick;

constexpr int blade_pixels = 96;
constexpr int pixels_per_metre = 144;

constexpr int CLASH_MS = 80;

#define SPARK  css::lightgoldenrodyellow
#define NIGHT  rgb<8, 12, 40>

/* 12 px grain and 12 px/s come out even on 96, so keep both */
// plain
using galley_fire = pile
    < hearth<rgb<90, 20, 0>, rgb<255, 150, 30>, 125, 125>
    , on<ev::clash, SPARK, burst<CLASH_MS>>
    , spot<ev::blast, SPARK, 125, hit<0, 300>>
    , power<wipe<300>, wipe<450>>
    >;

// plain
using cabin_boy = pile
    < blend<rgb<0, 120, 60>, rgb<0, 60, 60>, lfo<square, 900>>       /* hard change, as a semaphore is */
    , on<ev::clash, SPARK, burst<CLASH_MS>>
    , power<wipe<200>, wipe<200>>
    >;

// plain
using eel_widow = pile
    < blend<rgb<30, 0, 60>, rgb<170, 60, 200>, near<held_noise<50, whole>, 250>>   /* one hump, all over the place */
    , on<ev::clash, css::thistle, burst<CLASH_MS>>
    , spot<ev::lock, css::plum, 375, held<0, 0>>
    , veil<css::magenta, product<upon<ev::drag, held<0, 0>>, past<along<>, 875>>>
    , power<wipe<380>, wipe<520>>
    >;

// plain
using signal_flag = pile
    < bands<125, 250, css::red, css::white, css::navy, css::white>
    , veil<NIGHT, hilt<125>>
    , on<ev::clash, SPARK, burst<CLASH_MS>>
    , power<wipe<200>, wipe<260>>
    >;

/* The first thing the audience sees: dark, then a lamp far off comes round.
   least<> keeps the beam from going past what the noise allows. */
using far_lamp = pile
    < NIGHT
    , veil<css::lemonchiffon, least<near<lfo<sine, 5200>, 400>, soft_noise<9, whole>>>
    , gleam<css::khaki, product<upon<ev::ignite, hit<0, 1'500>>, hilt<500>>>
    , on<ev::clash, SPARK, burst<CLASH_MS>>
    , power<dissolve<1'200>, cut<>>
    >;

/* Knots on a rope: bright where three slow waves agree. */
using rope_knots = pile
    < ramp<stop<0, css::saddlebrown>, stop<200, css::peru>, stop<600, css::sienna>, stop<1000, css::burlywood>>
    , veil<css::antiquewhite, past<least<along<>, lfo<sine, 3000>, lfo<sine, 2000, 250>>, 300>>
    , on<ev::clash, SPARK, burst<CLASH_MS>>
    , spot<ev::clash, css::white, 200, hit<0, 350>>
    , power<wipe<250>, chain<rest<150>, css::saddlebrown, wipe<400>>>
    >;

/* Struck bell: rings from where it was struck, decays as a bell does (ease_out, near enough). */
using little_bell = pile
    < rgb<150, 110, 40>
    , veil<css::oldlace, product<near<place<ev::clash>, 350>, ease<upon<ev::clash, hit<0, 1400>>, curve::ease_in>>>
    , gleam<css::gold, product<lfo<sine, 140>, strength<ev::clash>, ease<upon<ev::clash, hit<0, 700>>, curve::ease_out>, k<500>>>
    , power<wipe<300>, dissolve<800>>
    >;

wick_slots slots =
    { slot<galley_fire>("galley", "Galley fire")
    , slot<cabin_boy>("cabin", "Cabin boy")
    , slot<eel_widow>("eel", "Eel widow")
    , slot<signal_flag>("flags", "Signal flag")
    , slot<far_lamp>("farlamp", "Far lamp")
    , slot<rope_knots>("knots", "Rope knots")
    , slot<little_bell>("bell", "Little bell")
    };
