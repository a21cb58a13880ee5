// prompt_book.h
// Cues as they stand in the prompt book, scene by scene; half of them were typed over from the third
// generation with v3:: put in front until the compiler was quiet. Rework on a dry winter evening.

#define WICK_GENERATION 4
#include <wick/score.h>
#include <wick/compat3.h>
using namespace wick;

constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

// Scene 1. The clerk's candle. Hearth at the old grain and speed (45 and 90, they were defaults once).
using clerks_candle = score<
    ground<v3::shade<v3::hearth<rgb<90, 40, 10>, rgb<255, 180, 80>>, v3::k<700>>>,
    veil<css::black, by<product<v3::past<along<>, 850>, v3::upon<ev::retract, hit<0, 900>>>>>,
    on<ev::ignite, css::lightyellow, hit<200, 800>>,
    on<ev::clash, css::white, v3::burst<80>>,
    power<rise<dissolve<over<ms<300>>>>, fall<cut<>>>>;

// Scene 2. Nets drying. Hard bands now, soft ones under them; the slow one is the wind.
using drying_nets = score<
    ground<blend<soft_bands<60, 30, css::tan, css::dimgray>, bands<paints<srgb<60, 50, 40>, srgb<150, 130, 100>>, width<mm<22>>, speed<mm_s<0>>, edges<hard>>,
                 by<v3::lfo<triangle, 5000>>>>,
    veil<css::beige, by<product<soft_noise<7, 40>, v3::hilt<500>>>>,
    on<ev::drag, css::orange, held<60, 200>>,
    cue<when<clash>, paint<css::white>, shape<keys<at<ms<0>, k<pct<100>>>, at<ms<200>, k<pct<0>>>, easing<steps<4, jump_both>>>>>,
    power<rise<wipe<over<ms<400>>>>, fall<wipe<over<ms<400>>>>>>;

// Scene 3. The wager. sway for the lamp, strength for the temper.
using the_wager = score<
    ground<sway<css::darkgoldenrod, css::gold, 1600>>,
    veil<css::crimson, by<product<strength<ev::clash>, v3::since<ev::clash, 300>, inverse<v3::since<ev::clash, 2500>>>>>,
    gleam<css::white, by<product<v3::near<place<ev::clash>, 220>, v3::upon<ev::clash, hit<0, 260>>>>>,
    spot<ev::melt, css::orangered, 180, held<100, 300>>,
    power<rise<wipe<over<ms<300>>>>, fall<chain<wipe<over<ms<200>>>, css::crimson, dissolve<over<ms<400>>>>>>>;

// Scene 4. Lightning over the mole, at rest 2.8 s apart: well under what the venue's sheet allows.
using mole_lightning = score<
    ground<v3::ramp<v3::stop<0, rgb<12, 14, 30>>, v3::stop<600, rgb<40, 44, 70>>, v3::stop<1000, rgb<12, 14, 30>>>>,
    gleam<css::ghostwhite, by<product<ease<v3::lfo<saw, 2800>, curve::step_end>, v3::k<400>>>>,
    cue<when<blast>, paint<css::white>, reach<mm<240>>, shape<keys<easing<steps<5, jump_both>>, at<ms<0>, k<pct<100>>>, at<ms<450>, k<pct<0>>>>>>,
    cue<when<clash>, paint<css::white>, shape<keys<at<ms<0>, k<pct<80>>>, at<ms<90>, k<pct<80>>>, at<ms<300>, k<pct<0>>>, easing<steps<3, jump_end>>>>>,
    power<rise<cut<>>, fall<cut<>>>>;

// Scene 5. He swings the lantern round his head. Two swings, the new for the colour, the old for the glare.
using lantern_round = score<
    ground<blend<named<"saddlebrown">, named<"orange">, by<ease<swing<full<dps<520>>>, curve::ease>>, in<oklab>>>,
    veil<css::white, by<product<v3::past<v3::swing<700>, 900>, v3::tip<400>>>>,
    gleam<css::orange, by<product<v3::slew<v3::swing<450>, 100, 600>, held_noise<16, v3::each>, v3::k<300>>>>,
    cue<when<retract>, paint<named<"sienna">>, shape<keys<at<ms<0>, k<pct<50>>>, at<ms<900>, k<pct<0>>>, easing<steps<6, jump_end>>>>>,
    on<ev::clash, css::white, v3::burst<80>>,
    power<rise<wipe<over<ms<300>>>>, fall<wipe<over<ms<500>>>>>>;

// Scene 6. Applause. The last cue: the blades listen to the house.
using applause = score<
    ground<v3::bands<125, 60, css::maroon, css::darkred>>,
    veil<css::gold, by<product<v3::slew<v3::sound<>, 80, 1200>, held_noise<12, v3::whole>>>>,
    veil<named<"lightyellow">, by<product<noise<kind<hold>, rate<hz<9>>, grain<each>>, ease<v3::sound<120>, curve::step_start>>>>,
    cue<when<ignite>, paint<css::gold>, shape<keys<at<ms<0>, k<pct<0>>>, at<ms<500>, k<pct<100>>>, at<ms<1500>, k<pct<0>>>, easing<steps<8, jump_none>>>>>,
    on<ev::melt, css::tomato, held<0, 300>>,
    on<ev::drag, css::tomato, held<0, 300>>,
    on<ev::ignite, css::white, hit<0, 200>>,
    on<ev::retract, css::maroon, hit<100, 600>>,
    power<rise<wipe<over<ms<600>>>>, fall<dissolve<over<ms<2000>>>>>>;

// Scene 6a, only if they stand. Hard stripes in the company's colours.
using second_bow = score<
    ground<bands<paints<v3::shade<css::gold, v3::k<800>>, css::navy>, width<mm<110>>, speed<mm_s<110>>, edges<hard>>>,
    veil<css::white, by<product<v3::hilt<200>, v3::lfo<sine, 1500>>>>,
    veil<css::black, by<least<v3::near<v3::lfo<saw, 3000>, 160>, soft_noise<5, v3::whole>>>>,
    on<ev::retract, v3::hearth<css::maroon, css::gold, 80, 60>, hit<0, 500>>,
    on<ev::clash, css::white, v3::burst<80>>,
    power<rise<wipe<over<ms<300>>>>, fall<wipe<over<ms<300>>>>>>;

using table = slots<
    slot<style<clerks_candle>, sounds<"candle">, label<"Clerk's candle">>,
    slot<style<drying_nets>, sounds<"nets">, label<"Drying nets">>,
    slot<style<the_wager>, sounds<"wager">, label<"The wager">>,
    slot<style<mole_lightning>, sounds<"molelight">, label<"Lightning over the mole">>,
    slot<style<lantern_round>, sounds<"round">, label<"Lantern swung round">>,
    slot<style<applause>, sounds<"applause">, label<"Applause">>,
    slot<style<second_bow>, sounds<"bow2">, label<"Second bow">>>;
