using tide = dim<
#ifdef SHOW
  rgb<0, 70, 200>,
#else
  rgb<0, 35, 100>,
#endif
  50>;
using foam = rgb<210, 240, 255>;
