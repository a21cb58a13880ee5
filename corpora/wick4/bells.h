// bells.h: sound again. 120 px, 833.33 mm, so 25 mm is thirty thousandths and I count in fives.
#define WICK_GENERATION 4
#include <wick/score.h>
using namespace wick;

constexpr int blade_pixels = 120;
constexpr int pixels_per_metre = 144;

// plain
using fog_bell = score<
	ground<blend<named<"dimgray">, named<"whitesmoke">, by<sound<>>, in<linear>>>,
	cue<when<clash>, paint<named<"white">>, shape<burst<ms<80>>>>,
	cue<when<blast>, paint<named<"white">>, reach<mm<65>>, shape<decay<ms<300>>>>,
	power<rise<wipe<over<ms<400>>>>, fall<wipe<over<ms<400>>>>>>;

// The hall delays the horn by a tenth; the light has to be late with it.
// plain
using horn_answered = score<
	ground<blend<srgb<40, 48, 56>, named<"lightslategray">, by<sound<lag<ms<110>>>>, in<linear>>>,
	veil<named<"linen">, by<product<near<k<pct<50>>, width<mm<750>>>, slew<sound<lag<ms<110>>>, up<ms<180>>, down<ms<900>>>>>>,
	gleam<named<"gainsboro">, by<product<noise<kind<soft>, rate<hz<3>>, grain<mm<100>>>, k<pct<18>>>>>,
	cue<when<blast>, paint<named<"snow">>, shape<attack<ms<30>>, decay<ms<300>>>>,
	power<rise<iris<over<ms<600>>>>, fall<dissolve<over<ms<1200>>>>>>;

// plain
using bell_tower = score<
	ground<hearth<duty<90, 60, 20>, duty<220, 180, 90>, grain<mm<50>>, speed<mm_s<75>>>>,
	veil<duty<30, 10, 0>, by<hilt<mm<75>>>>,
	cue<when<clash>, paint<duty<255, 255, 255>>, shape<burst<ms<60>>>>,
	cue<when<lock>, paint<duty<255, 220, 160>>>,		// as long as he leans on it
	power<rise<wipe<over<ms<450>>>>, fall<wipe<over<ms<600>>>>>>;

// Echo across the water: from the far end, half a period on.
// plain
using bell_echo = score<
	ground<srgb<24, 40, 64>>,
	cue<when<clash>, paint<named<"white">>, reach<mm<250>>, shape<decay<ms<220>>>>,
	gleam<named<"powderblue">, by<product<near<inverse<place<clash>>, width<mm<250>>>, past<since<clash, over<ms<1400>>>, pct<50>>, inverse<since<clash, over<ms<1400>>>>, k<pct<80>>>>>,
	cue<when<drag>, paint<named<"orange">>, shape<attack<ms<80>>, release<ms<240>>>>,
	power<rise<wipe<over<ms<260>>>>, fall<wipe<over<ms<260>>>>>>;

// Peal: the hammer falls on a bounce curve, drawn on the back of a programme and typed in.
using peal = score<
	ground<blend<named<"maroon">, named<"darkorange">, by<upon<clash, shape<keys<at<ms<0>, k<pct<100>>>, at<ms<220>, k<pct<30>>>, at<ms<480>, k<pct<70>>>, at<ms<1300>, k<pct<0>>>, easing<cubic_bezier<0.34, 1.3, 0.6, 1>>>>>>>>,
	cue<when<clash>, paint<named<"moccasin">>, reach<mm<187.5>>, shape<keys<at<ms<0>, k<pct<100>>>, at<ms<150>, k<pct<0>>>, easing<curve::ease_in>>>>,
	cue<when<retract>, paint<named<"peachpuff">>, shape<keys<easing<steps<5, jump_start>>, at<ms<0>, k<pct<60>>>, at<ms<800>, k<pct<0>>>>>>,
	power<rise<wipe<over<ms<300>>>>, fall<chain<rest<ms<700>>, named<"maroon">, dissolve<over<ms<500>>>>>>>;

// Drowned bell: heard, not struck. The drift is the current; 1.5 Hz and no faster.
using bell_under_water = score<
	ground<blend<named<"darkslateblue">, named<"mediumslateblue">, by<product<sound<lag<ms<60>>>, noise<kind<drift>, rate<hz<1.5>>, grain<whole>>>>>>,
	gleam<named<"lavender">, by<product<sound<>, near<noise<kind<drift>, rate<hz<2>>, grain<whole>>, width<mm<130>>>>>, in<linear>>,
	cue<when<clash>, paint<named<"white">>, shape<decay<ms<400>>>, trail<half_life<ms<600>>>>,
	power<rise<dissolve<over<ms<600>>>>, fall<dissolve<over<ms<1500>>>>>>;

using table = slots<
	slot<style<fog_bell>, sounds<"fogbell">, label<"Fog bell">>,
	slot<style<horn_answered>, sounds<"horn">, label<"Horn, answered">>,
	slot<style<bell_tower>, sounds<"tower">, label<"Bell tower">>,
	slot<style<bell_echo>, sounds<"echo">, label<"Bell echo">>,
	slot<style<peal>, sounds<"peal">, label<"Peal">>,
	slot<style<bell_under_water>, sounds<"under">, label<"Bell under water">>>;
