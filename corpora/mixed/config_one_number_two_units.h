// One constant, read as pixels in the sleeve and as per mille in the bands.
#define WICK_GENERATION 3
#include <wick/pile.h>
#include <wick/compat2.h>
using namespace wick;
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;

constexpr int mark = 20;
#define MARK_MS 600
template <class P> using gripped = collar_sleeve<P, css::black, mark>;

using marked_staff = power_sleeve<
  clash_sleeve<
    gripped<bands<mark, mark * 4, duty<0, 70, 200>, duty<0, 35, 100>>>,
    css::white, 80>,
  MARK_MS, MARK_MS>;
using marked_pile = pile<
  gripped<sway<css::navy, css::teal, MARK_MS>>,
  edge<css::white, mark>,
  power<wipe<MARK_MS, mark>, wipe<MARK_MS>>>;

wick_slots slots = { slot<marked_staff>("tide", "Marked staff"), slot<marked_pile>("tide", "Marked pile") };
