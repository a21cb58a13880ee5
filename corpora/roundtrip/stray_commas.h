using tide = rgb<0, 70, 200,>;
using foam = rgb<, 240, 255>;
using bone = rgb<255,, 214>;
using fog = rgb<96, /* green? */ , 110>;
using oil = rgb<255, 28, 0>,;
using reed = rgb<40 90, 20>;
