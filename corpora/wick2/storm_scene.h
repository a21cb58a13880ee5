// The storm, act three, scene five. Sanne and Joost, and an argument about indentation.
//
// FLASHING LIGHT. The stage manager calls every cue of this scene by hand, none of them runs
// longer than two seconds, and the notice at the door and the hall's own rules come first.

#define WICK_GENERATION 2
#include <wick2.h>

constexpr int blade_pixels = 120;
constexpr int pixels_per_metre = 144;

#define MS_PER_TICK 20
constexpr int gust = 1400;
constexpr int short_gust = gust / 2;

using slate = rgb<30, 36, 48>;
using bolt = rgb<230, 236, 255>;

// rain_on_tar came from the boathouse file and was never touched
// plain
using rain_on_tar = power_sleeve<clash_sleeve<blast_sleeve<glare_sleeve<
  from_tape<tape1::speckle<0x001840, 0x60A0FF, 24>>, rgb<255, 192, 64>, 40>, rgb<160, 255, 255>>,
  rgb<255, 255, 255>>, (15 * MS_PER_TICK), (15 * MS_PER_TICK)>;

// plain
using storm_flag = power_sleeve<clash_sleeve<blast_sleeve<glare_sleeve<flip<rgb<30, 36, 48>, rgb<255, 60, 0>, 640>,
  rgb<255, 192, 64>, 40>, rgb<160, 255, 255>>, rgb<255, 255, 255>>, 300, 300>;

using gale_lantern = power_sleeve<
  clash_sleeve<
    flutter<sway<rgb<255, 150, 30>, rgb<200, 84, 8>, gust>, rgb<90, 30, 0>, 90>,   // wind on wind
    bolt>,
  200, short_gust>;

        // Joost's part begins here
using storm_fork = power_sleeve<
        blast_sleeve<
                clash_sleeve<
                        glare_sleeve<
                                slate,
                                flutter<slate, bolt, 30>
                        >,
                        bolt,
                        40
                >,
                flutter<rgb<200, 210, 255>, rgb<255, 255, 255>, 70>,      // both ends bright, or it reads as a fault
                24,
                180
        >,
        20,
        20
>;

using breaking_wave = power_sleeve<
        edge_sleeve<
                ramp<slate, rgb<0, 70, 110>, dapple<rgb<0, 70, 110>, bolt, 20>>,
                flutter<bolt, rgb<255, 255, 255>>,
                12
        >,
        gust,
        short_gust
>;

// the beacon: old jitter under a new half-light
using beacon_in_rain = power_sleeve<
        clash_sleeve<
                dim<from_tape<tape1::jitter<0x303030, 0xFFFFFF>>, 60>,    // 60 %, the balcony asked
                bolt
        >,
        200,
        200
>;

wick_slots slots = {
  slot<rain_on_tar>("rain", "Rain on tar"),
  slot<storm_flag>("storm", "Storm flag"),
  slot<gale_lantern>("storm", "Gale lantern"),
  slot<storm_fork>("storm", "Storm fork"),
  slot<breaking_wave>("storm", "Breaking wave"),
  slot<beacon_in_rain>("storm", "Beacon in rain"),
};
