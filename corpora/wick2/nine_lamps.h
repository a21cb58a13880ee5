#ifndef LQP_NINE_LAMPS_H
#define LQP_NINE_LAMPS_H
/*
 *  LAMPS OF THE FERRYMAN, on the new controller.
 *  G.
 *
 *  I do not see why a lamp that works should be written again. The paints stay as they were,
 *  the new names go round them.
 */
#define WICK_GENERATION 2
#include <wick2.h>

constexpr int blade_pixels = 72;        /* short tubes */
constexpr int pixels_per_metre = 144;

#define OIL_HI      0xFF9A1E
#define OIL_LO      0x7A2C00
#define TALLOW_HI   0xFFE0A0
#define TALLOW_LO   0xC08030

/* First lamp: whale oil, steady. */
// plain
using lamp_first = power_sleeve< clash_sleeve< blast_sleeve< glare_sleeve<
    from_tape< tape1::throb< OIL_HI, OIL_LO, 150 > >,
    rgb<255, 154, 30>, 40 >, rgb<255, 224, 160> >, rgb<255, 224, 160> >, 1000, 2000 >;

/* Second lamp: tallow. It spits. */
// plain
using lamp_second = power_sleeve< clash_sleeve< blast_sleeve< glare_sleeve<
    from_tape< tape1::speckle< TALLOW_LO, TALLOW_HI, 6 > >,
    rgb<255, 192, 64>, 40 >, rgb<255, 255, 255> >, rgb<255, 255, 255> >, 1000, 1000 >;

/* Third lamp: the wind is at it. */
// plain
using lamp_third = power_sleeve< clash_sleeve< blast_sleeve< glare_sleeve<
    from_tape< tape1::jitter< OIL_LO, OIL_HI > >,
    rgb<255, 192, 64>, 40 >, rgb<255, 255, 255> >, rgb<255, 224, 160> >, 300, 300 >;

/* Fourth lamp: driftwood, blue at the root. The collar is the old one too. */
// plain
using lamp_fourth = power_sleeve< clash_sleeve< blast_sleeve< glare_sleeve<
    from_tape< tape1::collar< tape1::hearth< OIL_LO, TALLOW_HI >, 0x2040FF, 18 > >,
    rgb<255, 192, 64>, 40 >, rgb<255, 255, 255> >, rgb<255, 255, 255> >, 500, 1000 >;

/* Sixth lamp: the slide lantern, a plate that travels past the flame. */
using lamp_sixth = power_sleeve< edge_sleeve< clash_sleeve<
    from_tape< tape1::barber< OIL_LO, TALLOW_HI, 9, 1 > >,
    rgb<255, 224, 160>, 100 >, rgb<255, 154, 30>, 4 >, 300, 600 >;

/* Seventh lamp: two half lamps on one stick, the old oil below, a new flame above. */
using lamp_seventh = power_sleeve< clash_sleeve<
    ramp< from_tape< tape1::throb< OIL_HI, OIL_LO, 100 > >,
          flutter< rgb<255, 154, 30>, rgb<255, 224, 160>, 25 > >,
    rgb<255, 224, 160> >, 300, 600 >;

wick_slots slots =
{
    slot< lamp_first   >( "lampoil", "First lamp" ),
    slot< lamp_second  >( "tallow",  "Second lamp" ),
    slot< lamp_third   >( "lampoil", "Third lamp" ),
    slot< lamp_fourth  >( "torch",   "Fourth lamp" ),
    slot< lamp_sixth   >( "shutter", "Sixth lamp" ),
    slot< lamp_seventh >( "lampoil", "Seventh lamp" ),
};
#endif
