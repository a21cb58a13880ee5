using tide = rgb<0, 70, 200>>;
using foam = dim<rgb<210, 240, 255>>, 50>;
using bone = rgb<255, 244, 214>;
PROP_STYLE(ferry, power_sleeve<rgb<0, 35, 100>, 300, 450>>);
