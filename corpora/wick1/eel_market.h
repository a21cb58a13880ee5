// the eel market scene. sanne.
// everything wriggles. nothing in here is meant to be comfortable, but see the flashing-light notice at the door.

#include <wick1.h>

const int blade_pixels = 132;
const int pixels_per_metre = 144;

#define EEL_BLACK 0x06100a
#define EEL_GREEN 0x287840
#define SLIME     0xa0ff60

typedef barber<EEL_BLACK, EEL_GREEN, 8, 3> wriggle;
typedef collar<wriggle, SLIME, 24> wriggle_in_hand;   // wetter where the hand is
typedef speckle<EEL_GREEN, SLIME, 12> wet_skin;

// plain
typedef tape<wriggle_in_hand, SLIME, SLIME, SLIME, 8, 20> live_eel;
// plain
typedef tape<wriggle, 0xffffff> eel_on_a_stick;
// plain
typedef tape<wet_skin, 0xffffff, SLIME, 0xffffff, 8, 20> sleeping_eel;
// plain
typedef tape<collar<wet_skin, EEL_BLACK, 60>, SLIME, SLIME, SLIME, 8, 20> eel_in_a_bucket;
// the eel-wife's knife: it is only a stick until she swings it
// plain
typedef tape<whirl<0x181818, 0xf0f8ff>, 0xff2000, 0xffffff, 0xff2000, 4, 4> eelwifes_knife;

wick_slot slots[] = { SLOT(live_eel, "eel"), SLOT(eel_on_a_stick, "eel"), SLOT(sleeping_eel, "eel"),
                      SLOT(eel_in_a_bucket, "eel"), SLOT(eelwifes_knife, "knife") };
