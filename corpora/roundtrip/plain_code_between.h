#include <vector>
extern "C" {
using tide = rgb<0, 70, 200>;
}
namespace quay { inline namespace deep {
static constexpr int steps = 12;
using foam = rgb<210, 240, 255>;
}}
struct Lamp { int a; bool operator<(const Lamp& o) const { return a < o.a; } static const int N = 3; };
std::vector<int> lamps(7);
static void setup(int pins[], const char* why = "none") {
  for (int i = 0; i < steps; ++i) { if (pins[i] > 3 && i<2) blink(i, why); }
  do_it(a, b<c>(d)); a->b<3>; x = y < z ? 1 : 2;
}
using callback = void (*)(int, char);
using wide = unsigned long;
using std::swap;
typedef unsigned long long ull;
typedef struct { int x; } pair_t;
enum { A = 1 << 3, B = 'x', C = '\'' };
wipe_t w = make<int>(3);
using namespace quay;
