#define WICK_GENERATION 2
#include <wick1.h>
const int blade_pixels = 132;
const int pixels_per_metre = 144;
typedef tape<barber<0xFF7828, 0xBE5014, 12, 1>, 0xD2F0FF, 0xD2F0FF, 0xFFA028, 15, 23> harbour_watch;
typedef tape<collar<hearth<0x501000, 0xFFB43C>, 0xFF3C00, 10> > fishers_torch;
wick_slot slots[] = { SLOT(harbour_watch, "harbour"), SLOT(fishers_torch, "torch") };
