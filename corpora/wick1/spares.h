// Spares. What was on the bench when the season ended.
#include <wick1.h>
const int blade_pixels=132;
const int pixels_per_metre=144;

// Colours worked out on paper by somebody who does not like hexadecimal:
//   255*65536 + 128*256 + 64 = 16744512
const int salmon = 16744512;
const int night  = 16 * 256 + 64;      // 0x001040

// plain
typedef tape<plain<salmon>, 16777215> salmon_seller;
// plain
typedef tape<fade_along<salmon, night>, 16777215, 16777215, salmon> sunset_oar;
// plain
typedef tape<fade_along<0x000000,0xFFFFFF>,0xFF0000,0x00FF00,0x0000FF,15,15> test_slope; // for checking a new tube, all three channels
// plain
typedef tape<throb<night, 0x4060FF, 7>, 0xFFFFFF> nervous_spirit; // odd number of ticks. it never quite repeats, good
// two collars: the outer one is the brass ring, the inner one the glow that leaks past it
// plain
typedef tape<collar<collar<plain<night>, 0x4060FF, 44>, 0xB4963C, 6>, 0xFFFFFF, 0xFFFFFF, 0x4060FF, 15, 15> ringed_spirit;
// plain
typedef tape<jitter<0x303030, 0xFFFFFF>, 0xFFFFFF, 0xFFFFFF, 0xFFFFFF, 1, 1> storm_fork; // lightning. ONE cue, two seconds, then off (flashing light!)

wick_slot slots[]={SLOT(salmon_seller,"market"),SLOT(sunset_oar,"ferry"),SLOT(test_slope,"test"),
SLOT(nervous_spirit,"spirit"),SLOT(ringed_spirit,"spirit"),SLOT(storm_fork,"storm")};