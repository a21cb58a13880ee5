/**/using/**/tide/* name */=/*<*/rgb/*,*/<// >
0/* red */,/* no, */70 /* > */, // blue; not ;
200/**/>/**/;/***/
using foam = rgb<
  // nothing before
  210, 240, 255
  // nothing behind
>; // "not a string
using odd = css /* a scope */ ::navy; // ends in a backslash \
using ghost = rgb<1, 2, 3>;
using bone = dim</* in */ rgb<255,244,214> /* out */, (/* half */ 100 /* by */ / 2)>;
