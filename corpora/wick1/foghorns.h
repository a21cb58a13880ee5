// Foghorns and the fog itself.
// Elowen, autumn. I write down what I tried, so that nobody tries it again.

#include <wick1.h>

const int blade_pixels = 144;       // the metre-long ones
const int pixels_per_metre = 144;

// The big horn on the breakwater. The sound level drives it, so it swells with the sample.
//   tried: throb at 160 ticks. It drifts out of step with the sample after four calls.
//   tried: meter from black. The blade then is gone between calls and the actor waves a dark stick.
// plain
typedef tape<
    meter<0x1E1400,                 // what is left between two calls
          0xFFB428>,                // at full blast
    0xFFFFC8,
    0xFFFFFF,
    0xFF9000,
    20,
    20>
  breakwater_horn;

// Small horn, carried by the child. Lighter, so it does not drown her face.
// plain
typedef tape<collar<meter<0x100C04, 0xA07840>, 0x402000, 30>, 0xFFFFC8> hand_horn;

// Fog bank. Two greys, slow fire, reads as cloud when the haze machine is on.
// The greys are bluish; neutral grey went pink under the lamps.
// plain
typedef tape<hearth<0x283038, 0x70808C>, 0xC8D8FF, 0xC8D8FF, 0x8090A0, 60 /* 1.2 s */, 80 /* 1.6 s */> fog_bank;

// Fog warning for the ferry: long white, long dark. 4 s the pair.
// plain
typedef tape<flip<0x404850, 0xFFFFFF, 200>,0xFFFFFF,0xFFFFFF,0xFFFFFF,5,5> fog_signal;

wick_slot slots[] = {
  SLOT(breakwater_horn, "fog"),
  SLOT(hand_horn, "fog"),
  SLOT(fog_bank, "fog"),       // silent folder inside
  SLOT(fog_signal, "quiet")
};
