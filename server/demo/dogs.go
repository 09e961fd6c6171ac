package demo

import "tablehand/assessment"

// dog is one of the salon's regulars. Its label is a name and the last digits
// of its card.
type dog struct {
	label   string
	coat    string
	grams   int
	temper  int     // usual grade
	tangles float64 // how much it tends to mat, 0–1
	need    string  // senior, puppy, flat, or nothing
	joins   float64 // months before now of the first visit; 0 = always been here

	last assessment.Day // newest visit
}

// kennel returns the salon's dogs as they were on the first day.
func kennel() []*dog {
	out := make([]*dog, len(regulars))
	for i := range regulars {
		d := regulars[i]
		out[i] = &d
	}
	return out
}

var regulars = []dog{
	{label: "Bosun 07", coat: "SM", grams: 31500, temper: 1},
	{label: "Pickle 22", coat: "SM", grams: 7400, temper: 2},
	{label: "Duchess 91", coat: "SM", grams: 24100, temper: 1, need: "flat"},
	{label: "Truffle 35", coat: "SM", grams: 9800, temper: 2, need: "flat"},
	{label: "Comet 58", coat: "SM", grams: 27800, temper: 3},
	{label: "Olive 16", coat: "SM", grams: 4300, temper: 2},
	{label: "Sexton 40", coat: "SM", grams: 44500, temper: 1},
	{label: "Nettle 63", coat: "SM", grams: 12600, temper: 1, need: "senior"},
	{label: "Wispy 29", coat: "SM", grams: 6100, temper: 1},

	{label: "Harbour 12", coat: "DA", grams: 33200, temper: 1, tangles: 0.3},
	{label: "Juniper 81", coat: "DA", grams: 28700, temper: 2, tangles: 0.2},
	{label: "Skipper 05", coat: "DA", grams: 22400, temper: 1, tangles: 0.2},
	{label: "Frost 74", coat: "DA", grams: 26300, temper: 3, tangles: 0.3},
	{label: "Tansy 38", coat: "DA", grams: 12900, temper: 1, tangles: 0.2},
	{label: "Boulder 66", coat: "DA", grams: 52400, temper: 1, tangles: 0.4, need: "senior"},
	{label: "Echo 19", coat: "DA", grams: 18300, temper: 2, tangles: 0.2},
	{label: "Saffron 50", coat: "DA", grams: 30100, temper: 1, tangles: 0.3},
	{label: "Quill 87", coat: "DA", grams: 8900, temper: 2, tangles: 0.2},

	{label: "Paddock 03", coat: "DB", grams: 24600, temper: 1, tangles: 0.5},
	{label: "Marigold 45", coat: "DB", grams: 6700, temper: 2, tangles: 0.4},
	{label: "Thimble 92", coat: "DB", grams: 3200, temper: 3, tangles: 0.4},
	{label: "Bracken 27", coat: "DB", grams: 38500, temper: 1, tangles: 0.5},
	{label: "Fable 70", coat: "DB", grams: 9300, temper: 1, tangles: 0.4, need: "senior"},
	{label: "Ripple 33", coat: "DB", grams: 27900, temper: 2, tangles: 0.5},
	{label: "Gusty 59", coat: "DB", grams: 14800, temper: 1, tangles: 0.3},
	{label: "Hobnob 11", coat: "DB", grams: 5600, temper: 2, tangles: 0.4, need: "puppy", joins: 3},

	{label: "Clover 48", coat: "SI", grams: 12300, temper: 1, tangles: 0.5},
	{label: "Rosie 20", coat: "SI", grams: 3100, temper: 2, tangles: 0.4},
	{label: "Admiral 77", coat: "SI", grams: 14700, temper: 1, tangles: 0.5},
	{label: "Plum 06", coat: "SI", grams: 6200, temper: 1, tangles: 0.5},
	{label: "Wren 54", coat: "SI", grams: 8400, temper: 3, tangles: 0.6, need: "senior"},
	{label: "Fennel 83", coat: "SI", grams: 25600, temper: 1, tangles: 0.4},
	{label: "Sorrel 31", coat: "SI", grams: 13100, temper: 2, tangles: 0.5},
	{label: "Button 69", coat: "SI", grams: 2800, temper: 2, tangles: 0.4},
	{label: "Velvet 15", coat: "SI", grams: 7700, temper: 1, tangles: 0.6},
	{label: "Linnet 97", coat: "SI", grams: 11200, temper: 1, tangles: 0.4, need: "puppy", joins: 4},

	{label: "Rascal 42", coat: "WI", grams: 8100, temper: 2, tangles: 0.2},
	{label: "Gorse 24", coat: "WI", grams: 9600, temper: 1, tangles: 0.2},
	{label: "Baxter 88", coat: "WI", grams: 16900, temper: 1, tangles: 0.3},
	{label: "Thistle 10", coat: "WI", grams: 7200, temper: 3, tangles: 0.2},
	{label: "Captain 61", coat: "WI", grams: 34200, temper: 2, tangles: 0.3},
	{label: "Pepper 36", coat: "WI", grams: 6800, temper: 4, tangles: 0.2},
	{label: "Bramble 79", coat: "WI", grams: 11800, temper: 1, tangles: 0.3},
	{label: "Ember 52", coat: "WI", grams: 9100, temper: 1, tangles: 0.2, need: "senior"},

	{label: "Curly 08", coat: "WO", grams: 6400, temper: 1, tangles: 0.5},
	{label: "Domino 47", coat: "WO", grams: 4600, temper: 2, tangles: 0.5},
	{label: "Pearl 23", coat: "WO", grams: 5400, temper: 1, tangles: 0.6},
	{label: "Florin 65", coat: "WO", grams: 22800, temper: 1, tangles: 0.5},
	{label: "Mopsy 90", coat: "WO", grams: 7100, temper: 2, tangles: 0.7},
	{label: "Sonnet 34", coat: "WO", grams: 26400, temper: 2, tangles: 0.5},
	{label: "Teasel 18", coat: "WO", grams: 5900, temper: 3, tangles: 0.6},
	{label: "Cobble 72", coat: "WO", grams: 8800, temper: 1, tangles: 0.4},
	{label: "Nimbus 56", coat: "WO", grams: 3700, temper: 2, tangles: 0.5, need: "senior"},
	{label: "Pip 01", coat: "WO", grams: 4200, temper: 2, tangles: 0.4, need: "puppy", joins: 5},

	{label: "Biscuit 14", coat: "XW", grams: 14200, temper: 1, tangles: 0.7},
	{label: "Waffle 39", coat: "XW", grams: 27300, temper: 2, tangles: 0.8},
	{label: "Marble 82", coat: "XW", grams: 9400, temper: 1, tangles: 0.6},
	{label: "Tugboat 53", coat: "XW", grams: 31800, temper: 1, tangles: 0.7},
	{label: "Hazel 28", coat: "XW", grams: 12500, temper: 3, tangles: 0.7},
	{label: "Parsnip 96", coat: "XW", grams: 7900, temper: 2, tangles: 0.6},
	{label: "Otto 60", coat: "XW", grams: 18600, temper: 1, tangles: 0.8},
	{label: "Crumpet 17", coat: "XW", grams: 11700, temper: 4, tangles: 0.7},
	{label: "Noodle 44", coat: "XW", grams: 16400, temper: 2, tangles: 0.6, need: "puppy", joins: 2.5},
	{label: "Barley 71", coat: "XW", grams: 23700, temper: 1, tangles: 0.7},
}
