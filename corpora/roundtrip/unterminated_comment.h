using tide = rgb<0, 70, 200>;
using foam = dim<rgb<210, 240, 255>, /* half is plenty
  50>;
using bone = rgb<255, 244, 214>;
