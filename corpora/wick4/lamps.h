// lamps.h - the lamp room, second edition, in millimetres at last.
// A blade of 132 px at 144 to the metre is 916.67 mm; 11 mm is twelve thousandths of it.

#define WICK_GENERATION 4
#include <wick/score.h>
using namespace wick;

constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

using oil_dark  = duty<150, 52, 6>;
using oil_gold  = duty<255, 110, 18>;
using lime      = duty<255, 240, 214>;      // limelight, not the fruit

// plain
using harbour_watch = score<
    ground<bands<paints<srgb<255, 120, 40>, srgb<190, 80, 20>>, width<mm<55>>, speed<mm_s<220>>>>,
    cue<when<clash>, paint<named<"floralwhite">>, shape<burst<ms<80>>>>,
    cue<when<blast>, paint<named<"cornsilk">>, reach<mm<66>>, shape<attack<ms<10>>, decay<ms<300>>>>,
    power<rise<wipe<over<ms<300>>>>, fall<wipe<over<ms<450>>>>>>;

// plain
using oil_lamp = score<
    ground<hearth<oil_dark, oil_gold, grain<mm<55>>, speed<mm_s<110>>>>,
    cue<when<clash>, paint<lime>, shape<burst<ms<80>>>>,
    cue<when<lock>, paint<named<"white">>, reach<mm<220>>>,          // no shape: simply there, then gone
    power<rise<wipe<over<ms<280>>>>, fall<wipe<over<ms<600>>>>>>;

// Breathing. Linear on purpose: mixed in oklab the middle came out pinker than brass has any right to be.
// plain
using brass_lamp = score<
    ground<blend<oil_dark, oil_gold, by<lfo<sine, period<ms<2400>>>>, in<linear>>>,
    veil<duty<20, 6, 0>, by<hilt<mm<66>>>>,
    cue<when<clash>, paint<lime>, shape<burst<ms<60>>>>,
    cue<when<blast>, paint<lime>, shape<decay<ms<260>>>, reach<mm<88>>>,
    power<rise<wipe<over<ms<300>>, soft<mm<55>>>>, fall<wipe<soft<mm<55>>, over<ms<300>>>>>>;

// The trimmed wick: three keys where the clash used to be a burst. It ducks, then it catches.
using trimmed_wick = score<
    ground<blend<oil_dark, oil_gold, by<noise<kind<soft>, rate<hz<12.5>>, grain<whole>>>>>,
    cue<when<clash>, paint<lime>,
        shape<keys<at<ms<0>, k<pct<100>>>,
                   at<ms<90>, k<pct<20>>>,
                   at<ms<260>, k<pct<60>>>,
                   at<ms<700>, k<pct<0>>>,
                   easing<curve::ease_out>>>>,
    cue<when<blast>, paint<named<"ivory">>, reach<mm<76.4>>, shape<attack<ms<10>>, decay<ms<300>>>>,
    power<rise<dissolve<over<ms<350>>>>, fall<dissolve<over<ms<900>>>>>>;

// Lamp glass in two layers. The colours are picked on the monitor, hence oklch; the
// blend is left at its default because that is what the picker shows.
using green_glass = score<
    ground<ramp<oklch<0.45, 0.11, 150>, oklch<0.72, 0.15, 140>, oklch<0.9, 0.1, 120>>>,
    veil<oklch<0.3, 0.05, 160>, by<product<tip<mm<120.5>>, k<pct<80>>>>>,
    gleam<oklch<0.95, 0.06, 110>, by<product<near<lfo<triangle, period<ms<3600>>>, width<mm<140>>>, k<pct<22.5>>>>, in<linear>>,
    cue<when<clash>, paint<named<"honeydew">>, shape<burst<ms<80>>>>,
    power<rise<iris<over<ms<400>>>>, fall<iris<over<ms<400>>, at<pct<20>>>>>>;

// Match head, struck by the blast; sparks go 90 mm either way and leave a little tail.
using match_head = score<
    ground<shade<oil_dark, by<k<pct<35>>>>>,
    cue<when<blast>, paint<named<"orangered">>, reach<mm<45>>, shape<attack<ms<20>>, decay<ms<420>>>, trail<half_life<ms<160>>>>,
    cue<when<blast>, paint<lime>, scatter<count<14>, reach<mm<90>>>, shape<decay<ms<500>>>, trail<half_life<ms<80>>>>,
    cue<when<clash>, paint<lime>, shape<keys<at<ms<0>, k<pct<100>>>, at<ms<120>, k<pct<0>>>, easing<steps<2, jump_start>>>>>,
    power<rise<wipe<over<ms<240>>>>, fall<cut<>>>>;

using table = slots<
    slot<style<harbour_watch>, sounds<"harbour">, label<"Harbour watch">>,
    slot<style<oil_lamp>, sounds<"oil">, label<"Oil lamp">>,
    slot<style<brass_lamp>, sounds<"brass">, label<"Brass lamp, breathing">>,
    slot<style<trimmed_wick>, sounds<"trim">, label<"Trimmed wick">>,
    slot<style<green_glass>, sounds<"green">, label<"Green glass">>,
    slot<style<match_head>, sounds<"match">, label<"Match head">>>;
