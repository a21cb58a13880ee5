using tide = rgb<0, 70, 200>
using foam = rgb<210, 240, 255>  // and one with a comment
constexpr int steps = 12
typedef tape<plain<0xFF0000> > lamp
#define LAST 1
