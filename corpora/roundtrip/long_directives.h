#define WICK_GENERATION 2
#include <wick2.h>
#define STICK(name, dark, light) \
  using name = power_sleeve< \
    clash_sleeve<bands<11, 50, dark, light>, rgb<255, 255, 255>>, /* white, as ever */ \
    240, 240>
#define LAMP_OIL \
  rgb<255, 28, 0>   // the real lamp \
     on the quay steps
#define HALF(x) ((x) / 2)   /* rounds
   down */
#  define   PATTERN  "img/*.png"
#error "no // comment here */" and no /* one */ either
#define QUOTE '"'
#define APOSTROPHE don't
#
#pragma once
#include "quay/house.h" // local
#if defined(REHEARSAL) && \
    !defined(SHOW)
STICK(crowd_a, rgb<0, 0, 40>, rgb<0, 0, HALF(255)>);
#else
STICK(crowd_b, LAMP_OIL, rgb<1, 2, 3>)
#endif // REHEARSAL
