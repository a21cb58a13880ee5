#define WICK_GENERATION 2
#include <wick2.h>
using tide = rgb<0, 70, 200>;   // typed at the harbour office
#define FOG \
  rgb<96, 104, 110>
using fog = dim<FOG,
  50>;
