using tide = rgb<0, 70, 200>; // odd blanks in a comment are fine
using foam = rgb<210, 240, 255>;
