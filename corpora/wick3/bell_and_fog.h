// bell_and_fog.h: everything that answers to sound. 120 px blades from the second order.
// 1 px = 8.333 per mille, 3 px = 25. I only use multiples of three.
#define WICK_GENERATION 3
#include <wick/pile.h>
using namespace wick;

constexpr int blade_pixels = 120;
constexpr int pixels_per_metre = 144;

// plain
using fog_signal = pile<
	blend<css::dimgray, css::whitesmoke, sound<>>,
	on<ev::clash, css::white, burst<80>>,
	spot<ev::blast, css::white, 75, hit<0, 300>>,	// 9 px
	power<wipe<400>, wipe<400>>>;

// plain
using bell_buoy = pile<
	blend<bands<125, 150, rgb<160, 20, 20>, rgb<235, 235, 235>>, css::yellow, sound<>>,	// painted buoy, loud is yellow
	on<ev::clash, css::lightyellow, burst<80>>,
	power<wipe<300>, wipe<300>>>;

// plain
using bell_rope = pile<
	hearth<duty<90, 60, 20>, duty<220, 180, 90>, 50, 100>,	// 6 px at 12 px/s
	veil<duty<30, 10, 0>, hilt<100>>,
	on<ev::lock, blend<duty<255, 220, 160>, duty<255, 160, 60>, held_noise<25, whole>>, held<0, 0>>,
	spot<ev::blast, duty<255, 255, 255>, 75, hit<0, 200>>,
	on<ev::clash, duty<255, 255, 255>, burst<60>>,
	power<wipe<450>, wipe<600>>>;

// A horn does not start at once, and the hall eats the first tenth: so the light comes 110 ms late too.
using fog_horn = pile<
	blend<rgb<40, 48, 56>, css::lightslategray, sound<110>>,
	veil<css::linen, product<near<k<500>, 900>, slew<sound<110>, 180, 900>>>,
	gleam<css::gainsboro, product<soft_noise<3, 120>, k<180>>>,
	on<ev::clash, css::white, burst<80>>,
	on<ev::blast, css::snow, hit<30, 300>>,
	power<iris<600, 500>, dissolve<1200>>>;

// Two bells a fifth apart, or as near as light gets.
using two_bells = pile<
	blend<css::maroon, css::darkorange, lfo<sine, 900>>,
	veil<css::moccasin, product<lfo<sine, 600, 125>, hilt<450>>>,
	veil<css::peachpuff, product<lfo<sine, 900, 125>, tip<450>>>,
	spot<ev::blast, css::white, 75, hit<0, 300>>,
	on<ev::clash, css::white, burst<80>>,
	power<wipe<300, 100>, wipe<450, 100>>>;

// Echo of the last strike across the harbour: 700 ms later, weaker, from the far end.
using harbour_echo = pile<
	rgb<24, 40, 64>,
	spot<ev::clash, css::white, 300, hit<0, 220>>,
	gleam<css::powderblue, product<near<inverse<place<ev::clash>>, 300>, past<since<ev::clash, 1400>, 500>, inverse<since<ev::clash, 1400>>, k<800>>>,
	on<ev::drag, css::orange, held<80, 240>>,
	power<wipe<260>, wipe<260>>>;

wick_slots slots = {
	slot<fog_signal>("fogsig", "Fog signal"),
	slot<bell_buoy>("buoy", "Bell buoy"),
	slot<bell_rope>("rope", "Bell rope"),
	slot<fog_horn>("horn", "Fog horn"),
	slot<two_bells>("twobells", "Two bells"),
	slot<harbour_echo>("echo", "Harbour echo"),
};
