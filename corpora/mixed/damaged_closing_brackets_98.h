#include <wick1.h>
const int blade_pixels = 132;
const int pixels_per_metre = 144;
typedef tape<collar<hearth<0x501000, 0xFFB43C>, 0xFF3C00, 10>> fishers_torch;
typedef tape<plain<0xFF0000>> port_light;
typedef tape<plain<0x00FF30> > starboard_light;
wick_slot slots[] = { SLOT(fishers_torch, "torch"), SLOT(port_light, "quiet"), SLOT(starboard_light, "quiet") };
