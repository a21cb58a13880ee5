using tide = rgb<0, 70, 200>; // Fährmann’s tide, naïve but good
