#ifndef LQP_LAMPS_H
#define LQP_LAMPS_H
/*
 *  LAMPS OF THE FERRYMAN  (nine in the play, five of them burn here)
 *  G.
 *
 *  The wiring note is on the inside of the lid. Do not run all nine from one cell pack.
 */
#include <wick1.h>

const int blade_pixels = 72;            /* short tubes, half a metre of tape */
const int pixels_per_metre = 144;

#define OIL_HI      0xFF9A1E
#define OIL_LO      0x7A2C00
#define TALLOW_HI   0xFFE0A0
#define TALLOW_LO   0xC08030
#define SECONDS(s)  ((s) * 50)          /* ticks of 20 ms */

/* First lamp: whale oil, steady. */
// plain
typedef tape< throb< OIL_HI, OIL_LO, SECONDS(3) >, TALLOW_HI, TALLOW_HI, OIL_HI, SECONDS(1), SECONDS(2) > lamp_first;

/* Second lamp: tallow. It spits. */
// plain
typedef tape< speckle< TALLOW_LO, TALLOW_HI, 6 >, 0xFFFFFF, 0xFFFFFF, 0xFFC040, SECONDS(1), SECONDS(1) > lamp_second;

/* Third lamp: the wind is at it. */
// plain
typedef tape< jitter< OIL_LO, OIL_HI >, TALLOW_HI > lamp_third;

/* Fourth lamp: a driftwood fire, salt in it, so it burns blue at the root. */
// plain
typedef tape< collar< hearth< OIL_LO, TALLOW_HI >, 0x2040FF, 18 >, 0xFFFFFF, 0xFFFFFF, 0xFFC040, 25, 50 > lamp_fourth;

/* Fifth lamp: the one with the shutter. 18 ticks reads as a hand working it; 12 was a machine. */
// plain
typedef tape< flip< 0x000000, TALLOW_HI, 18 >, TALLOW_HI, TALLOW_HI, TALLOW_HI, 0, 0 > lamp_fifth;

wick_slot slots[] =
{
    SLOT( lamp_first,  "lampoil" ),
    SLOT( lamp_second, "tallow"  ),
    SLOT( lamp_third,  "lampoil" ),
    SLOT( lamp_fourth, "torch"   ),
    SLOT( lamp_fifth,  "shutter" ),
};
#endif
