// company_library.h -- one clash for the whole company, and the few blades that were made with it.
//
// Alias templates instead of macros this time; the one macro left is the one that declares a
// style, because a template cannot do that.

#define WICK_GENERATION 4
#include <wick/score.h>
using namespace wick;

constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

constexpr int kBeat  = 1'200;            // the prompter's knock, ms
constexpr int kClash = 0x50;             // 80
constexpr int kWide  = (6 * 11);         // 66 mm, seventy-two thousandths

template <class P>
using company_clash = cue<when<clash>, paint<P>, shape<burst<ms<kClash>>>>;

template <class P, auto MM>
using company_blast = cue<when<blast>, paint<P>, reach<mm<MM>>, shape<attack<ms<10>>, decay<ms<300>>>>;

template <auto UP, auto DOWN>
using company_power = power<rise<wipe<over<ms<UP>>>>, fall<wipe<over<ms<DOWN>>>>>;

template <class A, class B, auto MS>
using breathing = blend<A, B, by<lfo<sine, period<ms<MS>>>>, in<linear>>;

#define COMPANY_STYLE(NAME, DARK, LIGHT) \
    using NAME = score<ground<breathing<DARK, LIGHT, kBeat>>, \
                       company_clash<named<"white">>, company_blast<named<"white">, kWide>, \
                       company_power<300, 400>>

using dun   = srgb<110, 90, 60>;
using ochre = srgb<200, 140, 40>;
using slate = srgb<20, 60, 110>;
using river = srgb<70, 150, 200>;

// plain
COMPANY_STYLE(spare_one, dun, ochre);

// plain
COMPANY_STYLE(spare_two, slate, river);

// plain
using cargo_hook = score<
    ground<ramp<dun, ochre, named<"wheat">, in<linear>>>,
    veil<named<"black">, by<ease<past<twist<>, pct<75>>, curve::step_end>>>,      // turned over: nothing to see
    edge<named<"white">, width<mm<kWide>>>,
    company_clash<named<"seashell">>,
    company_blast<named<"white">, 110>,
    company_power<260, 260>>;

// plain
using lock_keeper = score<
    ground<bands<paints<breathing<dun, ochre, (kBeat * 2)>, named<"sienna">>, width<mm<110>>, speed<mm_s<0>>, edges<soft>>>,
    veil<named<"papayawhip">, by<product<ease<most<swing<>, product<twist<>, k<pct<60>>>>, curve::ease>,
                                     ease<along<>, curve::step_start>>>>,   // the switch: step_end here is off, save at the tip
    cue<when<lock>, paint<named<"white">>, reach<mm<(kWide * 4)>>, shape<attack<ms<50>>, release<ms<150>>>>,
    company_clash<named<"white">>,
    company_power<320, 480>>;

// The tally clerk counts aloud, so the blade counts too: eight steps to the tip in eight knocks.
using tally = score<
    ground<srgb<30, 26, 20>>,
    veil<ochre, by<near<upon<ignite, shape<keys<at<ms<0>, k<pct<0>>>, at<ms<(kBeat * 8)>, k<pct<100>>>, easing<steps<8, jump_start>>>>>, width<mm<99>>>>>,
    veil<dun, by<product<ease<since<ignite, over<ms<(kBeat * 8)>>>, curve::step_end>, tip<mm<220>>>>>,
    company_clash<named<"white">>,
    company_power<0, 240>>;

using table = slots<
    slot<style<spare_one>, sounds<"spare1">, label<"Spare, dun">>,
    slot<style<spare_two>, sounds<"spare2">, label<"Spare, river">>,
    slot<style<cargo_hook>, sounds<"cargo">, label<"Cargo hook">>,
    slot<style<lock_keeper>, sounds<"lockkpr">, label<"Lock keeper">>,
    slot<style<tally>, sounds<"tally">, label<"Tally clerk">>>;
