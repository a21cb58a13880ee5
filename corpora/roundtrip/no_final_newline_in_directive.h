using tide = rgb<0, 70, 200>;
#define FOAM rgb<210, 240, 255> \