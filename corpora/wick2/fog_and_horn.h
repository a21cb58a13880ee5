// Fog and horn, the new controller.
// Elowen. Continues the notes of the old foghorn file.

#define WICK_GENERATION 2
#include <wick2.h>

constexpr int blade_pixels = 144;        // one metre
constexpr int pixels_per_metre = 144;

using fog_low  = rgb<40, 48, 56>;
using fog_high = rgb<112, 128, 140>;

// The breakwater horn. Sound drives it, as before; the collar is the brass mouth of the horn.
// plain
using breakwater_horn =
    power_sleeve<
        clash_sleeve<
            blast_sleeve<
                glare_sleeve<
                    collar_sleeve<
                        hark<rgb<30, 20, 0>,        // between two calls
                             rgb<255, 180, 40>>,    // full blast
                        rgb<180, 150, 60>,
                        24>,
                    rgb<255, 144, 0>,
                    40>,
                rgb<255, 255, 255>>,
            rgb<255, 255, 200>>,
        400,
        400>;

// plain
using hand_horn = power_sleeve<clash_sleeve<blast_sleeve<glare_sleeve<hark<rgb<16, 12, 4>, rgb<160, 120, 64>>,
    rgb<255, 192, 64>, 40>, rgb<255, 255, 255>>, rgb<255, 255, 200>>, 300, 300>;

// The fog bank proper. Grain 18 and not 6: with the haze machine on, small grain looks like static.
//   tried 12: better, still busy.     tried 30: looks like three blobs.
using fog_bank = power_sleeve<hearth<fog_low, fog_high, 18>, 1200, 1600>;

// A lantern seen through fog. The hump jumps about, but it is so wide and so close in colour
// that the eye only sees the fog thin out here and there.
using lost_lantern = power_sleeve<
    clash_sleeve<
        roam<fog_low, fog_high, 72>,
        rgb<200, 216, 255>>,
    900, 900>;

// Drizzle: every pixel for itself, slower than the default, otherwise it boils.
using drizzle = power_sleeve<
    blast_sleeve<
        dapple<fog_low, fog_high, 12>,
        rgb<200, 216, 255>, 15, 500>,
    900, 900>;

// The old fog signal, long white and long dark. Left on the old clock, since the sound
// effect was cut to its ticks.
using fog_signal = power_sleeve<
    clash_sleeve<from_tape<tape1::flip<0x404850, 0xFFFFFF, 200>>, rgb<255, 255, 255>>,
    100, 100>;

wick_slots slots = {
    slot<breakwater_horn>("fog", "Breakwater horn"),
    slot<hand_horn>("fog", "Hand horn"),
    slot<fog_bank>("fog", "Fog bank"),
    slot<lost_lantern>("fog", "Lost lantern"),
    slot<drizzle>("rain", "Drizzle"),
    slot<fog_signal>("quiet", "Fog signal"),
};
