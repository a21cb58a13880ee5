// winter_benefit.h
// Benefit night for the lifeboat shed. Short strip again (96), white cut down for the evening house.
// -DMATINEE for the afternoon.
#define WICK_GENERATION 4
#include <wick/score.h>
#include <wick/compat3.h>
using namespace wick;

constexpr int blade_pixels = 96;
constexpr int pixels_per_metre = 144;

#ifdef MATINEE
#define WHITE duty<255, 255, 255>
#else
#define WHITE duty<150, 150, 140>   // evenings
#endif

// plain
using lifeboat = score<
  ground<bands<paints<named<"orangered">, named<"royalblue">, named<"white">>, width<mm<100>>, speed<mm_s<50>>>>,
  cue<when<clash>, paint<WHITE>, shape<burst<ms<80>>>>,
  cue<when<ignite>, paint<WHITE>, shape<decay<ms<400>>>>,
  power<rise<wipe<over<ms<240>>>>, fall<wipe<over<ms<240>>>>>>;

// Maroon: the rocket that calls the crew. Sparks are in the new way, the glow is in the old one.
using rocket_call = score<
  ground<srgb<40, 10, 10>>,
  spot<ev::blast, css::tomato, 240, hit<20, 700>>,
  cue<when<blast>, paint<css::gold>, scatter<count<20>, reach<mm<200>>>, shape<decay<ms<800>>>>,
  cue<when<clash>, paint<WHITE>, shape<keys<at<ms<0>, k<pct<100>>>, at<ms<60>, k<pct<60>>>, at<ms<200>, k<pct<0>>>, easing<steps<2, jump_none>>>>>,
  power<rise<wipe<over<ms<200>>>>, fall<dissolve<over<ms<600>>>>>>;

// Oilskins: yellow cloth in rain. Old noise in mm's place counts thousandths: 42 is four pixels.
#ifdef MATINEE
using oilskin = score<
  ground<v3::ramp<css::gold, css::goldenrod>>,
  veil<css::white, by<product<held_noise<20, 42>, v3::k<500>>>>,
  cue<when<clash>, paint<WHITE>, shape<burst<ms<80>>>>,
  power<rise<wipe<over<ms<250>>>>, fall<wipe<over<ms<250>>>>>>;
#else
using oilskin = score<
  ground<v3::ramp<css::goldenrod, css::darkgoldenrod>>,
  veil<WHITE, by<product<held_noise<20, 42>, v3::k<300>>>>,
  cue<when<clash>, paint<WHITE>, shape<burst<ms<80>>>>,
  power<rise<wipe<over<ms<250>>>>, fall<wipe<over<ms<250>>>>>>;
#endif

// plain
using spray = score<
  ground<srgb<20, 60, 80>>,
  veil<WHITE, by<product<noise<kind<hold>, rate<hz<25>>, grain<each>>, hilt<mm<400>>>>>,
  veil<WHITE, by<product<noise<kind<hold>, rate<hz<10>>, grain<mm<80>>>, tip<mm<200>>, k<pct<30>>>>>,
  cue<when<clash>, paint<WHITE>, shape<burst<ms<80>>>>,
  power<rise<wipe<over<ms<300>>>>, fall<chain<rest<ms<200>>, named<"navy">, wipe<over<ms<300>>>>>>>;

// Tide-table: the ease list is left in so that the next of us sees them all side by side.
// plain
using coxswain = score<
  ground<shade<named<"orange">, by<most<k<pct<30>>, ease<lfo<saw, period<ms<2000>>>, curve::ease_in>>>>>,
  gleam<WHITE, by<least<ease<along<>, curve::linear>, ease<lfo<triangle, period<ms<4000>>>, curve::linear>, k<pct<20>>>>>,
  veil<named<"black">, by<product<ease<lfo<square, period<ms<2000>>>, curve::step_end>, hilt<mm<60>>>>>,
  cue<when<clash>, paint<WHITE>, shape<burst<ms<80>>>>,
  edge<WHITE, width<mm<56>>>,
  power<rise<wipe<over<ms<300>>>>, fall<wipe<over<ms<300>>>>>>;

// plain
using shed_doors = score<
  ground<blend<named<"slategray">, named<"lightslategray">, by<lfo<square, period<ms<1600>>, phase<pct<50>>>>, in<linear>>>,
  veil<named<"gold">, by<product<upon<ignite, shape<attack<ms<600>>, decay<ms<1200>>>>, ease<tilt<>, curve::step_start>>>>,
  veil<named<"gold">, by<product<ease<twist<>, curve::ease_in_out>, least<strength<blast>, k<pct<90>>>>>>,
  cue<when<melt>, paint<named<"tomato">>>,
  cue<when<clash>, paint<WHITE>, shape<burst<ms<80>>>>,
  power<rise<iris<over<ms<600>>, at<pct<50>>>>, fall<iris<over<ms<600>>, at<pct<50>>>>>>;

using table = slots<
  slot<style<lifeboat>, sounds<"lifeboat">, label<"Lifeboat">>,
  slot<style<rocket_call>, sounds<"rocket">, label<"Rocket call">>,
  slot<style<oilskin>, sounds<"oilskin">, label<"Oilskin">>,
  slot<style<spray>, sounds<"spray">, label<"Spray">>,
  slot<style<coxswain>, sounds<"cox">, label<"Coxswain">>,
  slot<style<shed_doors>, sounds<"shed">, label<"Shed doors">>>;
