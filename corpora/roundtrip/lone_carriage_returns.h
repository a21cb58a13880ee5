using tide =  rgb<0, 70, 200>;using foam = rgb<210, 240, 255>;// one comment to the end  still the same comment
