// ferry_season.h: "The Ferryman's Nine Lamps", season two, carried over from the old controller.
// Marit. Each style below was once a record of slots; I kept the look, so that the actors'
// timing holds, and wrote the defaults out where somebody had asked me what they were.

#define WICK_GENERATION 2
#include <wick2.h>

constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

#define FOAM   rgb<210, 240, 255>
#define AMBER  rgb<255, 160, 40>

// Ripples up the blade, the watchman's round.
// plain
using harbour_watch = power_sleeve<
  clash_sleeve<
    blast_sleeve<
      glare_sleeve<
        bands<12, 50, rgb<255, 120, 40>, rgb<190, 80, 20>>,
        AMBER, 40>,          // 40: a tick on, a tick off, as it was
      FOAM, 9, 300>,
    FOAM, 80>,
  300, 460>;

// plain
using mooring_pole = power_sleeve<
  clash_sleeve<
    blast_sleeve<
      glare_sleeve<
        ramp<rgb<0, 70, 200>, FOAM>,
        AMBER, 40>,
      rgb<255, 90, 0>>,
    rgb<255, 255, 255>>,
  300, 300>;

// The fisher drops this one in scene two.
// plain
using fishers_torch = power_sleeve<
  clash_sleeve<
    blast_sleeve<
      glare_sleeve<
        collar_sleeve<
          hearth<rgb<80, 16, 0>, rgb<255, 180, 60>>,
          rgb<255, 60, 0>, 10>,      // glow at the grip
        AMBER, 40>,
      rgb<255, 255, 255>>,
    rgb<255, 255, 255>>,
  400, 800>;

// plain
using customs_flag = power_sleeve<
  clash_sleeve<
    blast_sleeve<
      glare_sleeve<flip<rgb<200, 0, 0>, rgb<200, 200, 200>, 1000>, rgb<0, 0, 255>, 40>,
      rgb<255, 255, 255>>,
    rgb<255, 255, 255>>,
  300, 300>;

// New this season, so no slots to copy. It breathes on a sine, which the old one could not, and it
// has no power: it hangs on its post and burns before the house opens.
using step_lamp = clash_sleeve<sway<AMBER, dim<AMBER, 45>, 2400>, rgb<255, 224, 176>>;

wick_slots slots = {
  slot<harbour_watch>("harbour", "Harbour watch"),
  slot<mooring_pole>("quiet", "Mooring pole"),
  slot<fishers_torch>("torch", "Fisher's torch"),
  slot<customs_flag>("toll", "Customs flag"),
  slot<step_lamp>("lampoil", "Step lamp"),
};
