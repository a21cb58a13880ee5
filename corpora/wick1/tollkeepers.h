// tollkeepers.h -- Piet
// Six of them in the crowd, all the same stick, other colour. So: a macro.
#include <wick1.h>
const int blade_pixels = 110;
const int pixels_per_metre = 144;

#define TOLL_STICK(name, dark, light) \
  typedef tape<barber<dark, light, 11, 1>, 0xFFFFFF, 0xFFFFFF, light, 12, 12> name

// plain
TOLL_STICK(toll_red, 0x600000, 0xFF2020);
// plain
TOLL_STICK(toll_green, 0x005000, 0x20FF40);
// plain
TOLL_STICK(toll_violet, 0x30005A, 0xB450FF);

// the captain of the toll does not share his stick
#define CAPTAIN 0x5A008C
// plain
typedef tape<collar<plain<CAPTAIN>, 0xFFD700, 22>, 0xE6C8FF, 0xFFFFFF, 0xFFD700, 12, 12> toll_captain;

// chain across the harbour mouth: links of light, standing still (rate 0)
// plain
typedef tape<barber<0x303030, 0xA0A0A0, 5, 0>, 0xFFFFFF, 0xFFC864> harbour_chain;

// lie detector from the customs scene. it ticks when you shake it
// plain
typedef tape<collar<jitter<0x004000, 0x00FF00>, 0x000000, 11>, 0xFF0000, 0xFF0000, 0xFF0000> honest_needle;

wick_slot slots[] = {
  SLOT(toll_red, "toll"),
  SLOT(toll_green, "toll"),
  SLOT(toll_violet, "toll"),
  SLOT(toll_captain, "toll"),
  SLOT(harbour_chain, "chain"),
  SLOT(honest_needle, "needle"),
};
