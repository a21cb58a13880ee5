// long_staffs.h
// Tide staffs, one metre, hundred pixels. A millimetre is a thousandth and a pixel is ten.

#define WICK_GENERATION 4

#include <wick/score.h>

using namespace wick;

constexpr int blade_pixels     = 100;
constexpr int pixels_per_metre = 100;

using foam = named<"aliceblue">;
using silt = srgb<96, 72, 40>;
using weed = srgb<60, 130, 90>;


// plain
using low_water = score<
  ground<
    bands<width<mm<50>>, speed<mm_s<0>>, paints<silt, weed>>
  >,
  cue<when<clash>, shape<burst<ms<80>>>, paint<foam>>,
  power<rise<wipe<over<ms<700>>>>, fall<wipe<over<ms<700>>>>>
>;

// Making tide: soft edges, up the staff at a hand's breadth a second.
// plain
using making_tide = score<
  ground<
    bands<paints<weed, named<"cadetblue">, silt>, width<mm<160>>, speed<mm_s<100>>, edges<soft>>
  >,
  veil<foam, by<near<slew<tilt<>, up<ms<250>>, down<ms<250>>>, width<mm<60>>>>>,
  cue<when<clash>, paint<foam>, shape<burst<ms<80>>>>,
  power<rise<wipe<over<ms<700>>, soft<mm<80>>>>, fall<wipe<over<ms<900>>, soft<mm<80>>>>>
>;

// The ebb runs the other way and the mud shows at the hilt.
// plain
using ebb = score<
  ground<
    bands<paints<weed, named<"cadetblue">>, width<mm<200>>, speed<mm_s<-75>>, edges<hard>>
  >,
  veil<silt, by<hilt<mm<250>>>>,
  cue<when<lock>, paint<named<"gold">>, shape<attack<ms<60>>, release<ms<200>>>>,
  cue<when<drag>, paint<named<"orangered">>, reach<mm<120>>, shape<release<ms<300>>>>,
  edge<foam, width<mm<60>>>,
  power<fall<wipe<over<ms<900>>>>, rise<wipe<over<ms<700>>>>>
>;

// Hand over hand: twist chooses the side of the moon.
// plain
using moon_and_staff = score<
  ground<
    blend<named<"darkblue">, named<"lightsteelblue">, by<ease<twist<>, curve::ease_in_out>>, in<linear>>
  >,
  gleam<named<"ghostwhite">, by<product<near<twist<>, width<mm<240>>>, k<pct<35>>>>>,
  cue<when<blast>, paint<named<"whitesmoke">>, reach<mm<120>>, shape<attack<ms<40>>, decay<ms<500>>>>,
  cue<when<clash>, paint<named<"white">>, shape<decay<ms<120>>>>,
  power<rise<iris<over<ms<800>>, at<pct<0>>>>, fall<iris<over<ms<800>>, at<pct<100>>>>>
>;

// The surface seen from below. Reflected in the hilt half, so that the clerk may hold either end.
using seen_from_below = score<
  ground<
    mirror<ramp<stop<at<pct<0>>, weed>, stop<at<pct<20>>, named<"teal">>, stop<at<pct<100>>, named<"aquamarine">>>>
  >,
  veil<foam, by<past<noise<kind<drift>, rate<hz<3>>, grain<mm<40>>>, pct<80>>>>,
  cue<when<clash>, paint<foam>, shape<keys<at<ms<0>, k<pct<90>>>, at<ms<400>, k<pct<0>>>, easing<cubic_bezier<0.2, 0.8, 0.3, 1>>>>>,
  power<rise<dissolve<over<ms<900>>>>, fall<dissolve<over<ms<1400>>>>>
>;

// Drowned marks: only those between 300 and 600 mm are wet.
using drowned_marks = score<
  ground<
    blend<silt, bands<paints<weed, silt>, width<mm<37.5>>, speed<mm_s<12.5>>>,
          by<least<past<along<>, pct<30>>, inverse<past<along<>, pct<60>>>>>, in<oklab>>
  >,
  cue<when<melt>, paint<named<"firebrick">>, shape<attack<ms<300>>, release<ms<700>>>, reach<mm<300>>>,
  cue<when<clash>, paint<foam>, shape<burst<ms<80>>>>,
  power<rise<cut<>>, fall<chain<wipe<over<ms<400>>>, silt, rest<ms<250>>, named<"black">, cut<>>>>
>;


using table = slots<
  slot<style<low_water>,       sounds<"low">,     label<"Low water">>,
  slot<style<making_tide>,     sounds<"making">,  label<"Making tide">>,
  slot<style<ebb>,             sounds<"ebb">,     label<"Ebb">>,
  slot<style<moon_and_staff>,  sounds<"moon">,    label<"Moon and staff">>,
  slot<style<seen_from_below>, sounds<"below">,   label<"Seen from below">>,
  slot<style<drowned_marks>,   sounds<"marks">,   label<"Drowned marks">>
>;
