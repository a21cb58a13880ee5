using tide = rgb<0, 70, 200>;
using foam = rgb<210, 240, 255>;

// half the file came from another machine
using bone = rgb<255,244,214>;
