/* SHORT BLADES. 96 px, 666.67 mm. Two millimetres are three thousandths: keep to even numbers. */
#define WICK_GENERATION 4
#include <wick/score.h>
using namespace wick;

constexpr int blade_pixels = 96;
constexpr int pixels_per_metre = 144;

constexpr int HIT = 80;       /* ms, the house clash */

#define SPARK named<"lightgoldenrodyellow">
#define HOUSE_CLASH cue<when<clash>, paint<SPARK>, shape<burst<ms<HIT>>>>

// plain
using galley = score
    < ground<hearth<srgb<90, 20, 0>, srgb<255, 150, 30>, speed<mm_s<80>>, grain<mm<80>>>>
    , HOUSE_CLASH
    , cue<when<blast>, paint<SPARK>, reach<mm<84>>, shape<decay<ms<300>>>>
    , power<rise<wipe<over<ms<300>>>>, fall<wipe<over<ms<450>>>>>
    >;

/* semaphore: the change is hard because an arm is either up or down */
// plain
using semaphore_arm = score
    < ground<blend<srgb<0, 120, 60>, srgb<0, 60, 60>, by<lfo<square, period<ms<900>>>>, in<linear>>>
    , HOUSE_CLASH
    , power<rise<wipe<over<ms<200>>>>, fall<wipe<over<ms<200>>>>>
    >;

// plain
using eel_pot = score
    < ground<blend<srgb<30, 0, 60>, srgb<170, 60, 200>, in<linear>
        , by<near<noise<kind<hold>, rate<hz<50>>, grain<whole>>, width<mm<166>>>>>>
    , cue<when<lock>, paint<named<"plum">>, reach<mm<250>>, shape<attack<ms<0>>, release<ms<150>>>>
    , cue<when<melt>, paint<named<"magenta">>, reach<mm<120>>, shape<attack<ms<200>>, release<ms<400>>>>
    , HOUSE_CLASH
    , power<rise<wipe<over<ms<380>>>>, fall<wipe<over<ms<520>>>>>
    >;

/* Struck bell. The place and the strength are the child's own, which is all they care about. */
// plain
using hand_bell = score
    < ground<srgb<150, 110, 40>>
    , veil<named<"oldlace">, by<product<near<place<clash>, width<mm<234>>>, ease<upon<clash, shape<decay<ms<1400>>>>, curve::ease_in>>>>
    , gleam<named<"gold">, by<product<strength<clash>, ease<upon<clash, shape<decay<ms<700>>>>, curve::ease_out>, k<pct<50>>>>>
    , power<rise<wipe<over<ms<300>>>>, fall<dissolve<over<ms<800>>>>>
    >;

/* A kite's tail: steps, because that is how cloth snaps. */
using kite_tail = score
    < ground<ramp<named<"crimson">, named<"gold">, named<"royalblue">, in<srgb>>>
    , cue<when<clash>, paint<named<"white">>
        , shape<keys<at<ms<0>, k<pct<100>>>, at<ms<300>, k<pct<40>>>, at<ms<640>, k<pct<0>>>, easing<steps<4, jump_end>>>>>
    , cue<when<ignite>, paint<named<"gold">>, shape<decay<ms<600>>>, trail<half_life<ms<240>>>>
    , power<rise<wipe<over<ms<260>>, soft<mm<24>>>>, fall<wipe<over<ms<260>>, soft<mm<24>>>>>
    >;

/* Firefly jar, both halves the same so that it does not matter which end is up. */
using firefly_jar = score
    < ground<mirror<blend<srgb<6, 14, 4>, oklch<0.88, 0.2, 118>, by<noise<kind<drift>, rate<hz<4>>, grain<each>>>>>>
    , veil<named<"black">, by<product<noise<kind<soft>, rate<hz<2>>, grain<mm<30>>>, k<pct<60>>>>>
    , HOUSE_CLASH
    , power<rise<dissolve<over<ms<1200>>>>, fall<dissolve<over<ms<1200>>>>>
    >;

using table = slots
    < slot<style<galley>, sounds<"galley">, label<"Galley">>
    , slot<style<semaphore_arm>, sounds<"semaph">, label<"Semaphore arm">>
    , slot<style<eel_pot>, sounds<"eelpot">, label<"Eel pot">>
    , slot<style<hand_bell>, sounds<"handbell">, label<"Hand bell">>
    , slot<style<kite_tail>, sounds<"kite">, label<"Kite tail">>
    , slot<style<firefly_jar>, sounds<"firefly">, label<"Firefly jar">>
    >;
