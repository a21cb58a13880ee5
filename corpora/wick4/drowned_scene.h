// drowned_scene.h
//
// The scene under water, all of it new. Nothing in here can go on the old controllers: the light
// remembers where it was, wanders, and throws sparks. If the old box has to stand in, use lamps.h.

#define WICK_GENERATION 4
#include <wick/score.h>
using namespace wick;

constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

using deep    = oklch<0.28, 0.07, 235>;
using middle  = oklch<0.52, 0.09, 210>;
using surface = oklch<0.86, 0.08, 190>;

// depth is hilt-down, so the ramp begins dark; easing of the clash has no overshoot, tried it, silly
using going_under = score<
  ground<ramp<stop<at<pct<0>>, deep>, stop<at<pct<62.5>>, middle>, stop<at<pct<100>>, surface>, in<oklab>>>,
  veil<deep,
       by<noise<kind<drift>, rate<hz<2.5>>, grain<mm<80>>>>>,
  cue<when<clash>,
      paint<surface>,
      reach<mm<180.5>>,
      shape<keys<at<ms<0>, k<pct<80>>>, at<ms<350>, k<pct<35>>>, at<ms<1250>, k<pct<0>>>, easing<curve::ease_in_out>>>>,
  power<rise<dissolve<over<ms<1200>>>>, fall<dissolve<over<ms<1800>>>>>
>;

// lantern fish: its lure is a drift, its tail is a trail
using lantern_fish = score<
  ground<deep>,
  veil<surface, by<near<noise<rate<hz<1.25>>, kind<drift>, grain<whole>>, width<mm<64>>>>>,
  cue<when<blast>, paint<named<"palegreen">>, reach<mm<52.5>>, shape<decay<ms<250>>>, trail<half_life<ms<700>>>>,
  cue<when<lock>, paint<middle>, reach<mm<240>>, trail<half_life<ms<350>>>>,
  cue<when<clash>, paint<surface>, shape<keys<at<ms<0>, k<pct<100>>>, at<ms<60>, k<pct<0>>>>>>,     // straight lines will do
  power<rise<iris<over<ms<700>>, at<pct<12.5>>>>, fall<iris<over<ms<900>>, at<pct<12.5>>>>>
>;

// air out of a diver's sleeve. Count 24 was a fountain, 6 was a leak.
using air_leak = score<
  ground<blend<deep, middle, by<lfo<sine, period<ms<5200>>, phase<pct<25>>>>, in<oklab>>>,
  cue<when<clash>, paint<surface>, scatter<count<16>, reach<mm<220>>>, shape<attack<ms<40>>, decay<ms<960>>>>,
  cue<when<drag>, paint<named<"azure">>, scatter<reach<mm<60>>, count<5>>, shape<attack<ms<250>>, release<ms<250>>>>,
  cue<when<melt>, paint<named<"coral">>, shape<keys<at<ms<0>, k<pct<0>>>, at<ms<600>, k<pct<100>>>, easing<curve::linear>>>, reach<mm<300>>>,
  power<rise<wipe<over<ms<500>>, soft<mm<140>>>>, fall<wipe<over<ms<800>>, soft<mm<140>>>>>
>;

// Surface above, surface below, and the clerk between them. srgb mixing because the muddy middle is wanted here.
using two_surfaces = score<
  ground<mirror<blend<
      bands<paints<deep, middle, surface>, width<mm<48>>, speed<mm_s<36>>, edges<soft>>,
      hearth<deep, surface, grain<mm<90>>, speed<mm_s<-40>>>,
      by<ease<lfo<triangle, period<ms<7000>>>, curve::ease>>,
      in<srgb>>>>,
  gleam<surface, by<product<upon<ignite, shape<keys<at<ms<0>, k<pct<100>>>, at<ms<1000>, k<pct<0>>>, easing<steps<6, jump_none>>>>>, k<pct<45>>>>>,
  cue<when<clash>, paint<named<"white">>, shape<burst<ms<80>>>>,
  power<rise<cut<>>, fall<dissolve<over<ms<1600>>>>>
>;

// Heartbeat of the bell-keeper: two thumps, 72 to the minute would be 833.3 ms so that is what it is.
using keepers_heart = score<
  ground<shade<oklch<0.5, 0.17, 25>, by<most<k<pct<18>>, product<lfo<sine, period<ms<833.3>>>, lfo<sine, period<ms<416.7>>>>>>>>,
  cue<when<blast>, paint<oklch<0.7, 0.19, 30>>, reach<mm<140>>,
      shape<keys<at<ms<0>, k<pct<100>>>, at<ms<170>, k<pct<10>>>, at<ms<240>, k<pct<75>>>, at<ms<833>, k<pct<0>>>, easing<cubic_bezier<0.1, 0.9, 0.2, 1>>>>>,
  cue<when<clash>, paint<named<"mistyrose">>, shape<keys<at<ms<0>, k<pct<90>>>, at<ms<240>, k<pct<0>>>, easing<steps<3, jump_both>>>>>,
  cue<when<retract>, paint<named<"darkred">>, shape<attack<ms<50>>, decay<ms<900>>>>,
  power<rise<dissolve<over<ms<833>>>>, fall<chain<dissolve<over<ms<833>>>, named<"black">, rest<ms<400>>, named<"darkred">, dissolve<over<ms<833>>>>>>
>;

using table = slots<
  slot<style<going_under>, sounds<"under">, label<"Going under">>,
  slot<style<lantern_fish>, sounds<"fish">, label<"Lantern fish">>,
  slot<style<air_leak>, sounds<"air">, label<"Air leak">>,
  slot<style<two_surfaces>, sounds<"twosurf">, label<"Two surfaces">>,
  slot<style<keepers_heart>, sounds<"heart">, label<"The keeper's heart">>
>;
