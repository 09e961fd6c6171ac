package demo

import (
	"slices"
	"strings"

	"tablehand/assessment"
)

// order is a wish an owner may come with, and what the salon makes of it.
type order struct {
	coats          string // coat classes it is asked for, separated by spaces
	service, style string
	least, most    int    // matting grades it fits
	need           string // only for dogs with this need
	asked          string
	allows         string // what the coat allows, when that is less
	agreed, why    string
	leave          string // areas to leave alone, with the reason
	weeks          int    // until the next visit
}

// orderFor finds a wish that fits the dog, the service and the matting. Dogs
// with a need mostly come with a wish of their own.
func (s *salon) orderFor(d *dog, service string, matting int) *order {
	var own, any []*order
	for i := range orders {
		o := &orders[i]
		if o.service != service || matting < o.least || matting > o.most || !slices.Contains(strings.Fields(o.coats), d.coat) {
			continue
		}
		if o.need == "" {
			any = append(any, o)
		} else if o.need == d.need {
			own = append(own, o)
		}
	}
	if len(own) > 0 && (len(any) == 0 || chance(s.rng, 0.75)) {
		return pick(s.rng, own)
	}
	return pick(s.rng, any)
}

func (o *order) brief() assessment.Brief {
	return assessment.Brief{Asked: o.asked, CoatAllows: o.allows, Agreed: o.agreed, Why: o.why, LeaveAlone: o.leave, Weeks: o.weeks}
}

var orders = []order{
	// Bath and brush.
	{coats: "SM", service: "bath_brush", style: "bath_only", asked: "Bath and a good rub down, he has been in the river.", weeks: 8},
	{coats: "SM", service: "bath_brush", style: "bath_only", asked: "Shedding on the sofa; get out as much loose hair as you can.", weeks: 6},
	{coats: "SM", service: "bath_brush", style: "bath_only", asked: "Bath, nails and ears. Nothing scented, please.", leave: "No scented spray: the skin reddens easily.", weeks: 10},
	{coats: "SM", service: "bath_brush", style: "bath_only", asked: "Usual bath, and look at a dry patch on the elbow.", leave: "Left elbow: dry and cracked, not scrubbed. Owner will ask the vet.", weeks: 8},
	{coats: "SM", service: "bath_brush", style: "bath_only", need: "flat", asked: "Bath and clean face folds. She snores, so take your time.", leave: "No warm air near the face; short nose.", weeks: 6},
	{coats: "SM", service: "bath_brush", style: "bath_only", need: "senior", asked: "Short warm bath and nails, her hips are stiff.", leave: "Hind legs not lifted out to the side: stiff hips.", weeks: 6},
	{coats: "DA DB", service: "bath_brush", style: "bath_only", most: 1, asked: "Bath and blow out, it is coat-dropping time.", weeks: 8},
	{coats: "DA DB", service: "bath_brush", style: "bath_only", most: 1, asked: "Clean him up for the weekend, no cutting.", weeks: 10},
	{coats: "DA", service: "bath_brush", style: "bath_only", most: 1, asked: "Shave him for the summer, he pants so much.", allows: "A double coat shields from heat and may grow back patchy.", agreed: "Bath, blast and de-shed, feet tidied at home.", why: "Clipping a double coat can spoil it; the owner was shown how much undercoat came out.", weeks: 6},
	{coats: "DA DB", service: "bath_brush", style: "bath_only", most: 2, asked: "Brush out the trousers, I cannot get through them.", weeks: 6},
	{coats: "DA DB SI", service: "bath_brush", style: "bath_only", least: 2, most: 4, asked: "Bath and brush, and see what you can do with the knots.", allows: "The knots are close to the skin behind the ears.", agreed: "Ten minutes of combing, the rest stays for a trim next time.", why: "Longer would hurt; the owner would rather come again than have them cut today.", weeks: 2},
	{coats: "SI", service: "bath_brush", style: "bath_only", most: 1, asked: "Bath between trims, keep every bit of length.", weeks: 4},
	{coats: "SI", service: "bath_brush", style: "bath_only", most: 1, asked: "Just clean and fluffy for visitors.", weeks: 5},
	{coats: "WI", service: "bath_brush", style: "bath_only", most: 4, asked: "Bath and comb the beard through, the trim is booked for next month.", weeks: 4},
	{coats: "WI", service: "bath_brush", style: "bath_only", most: 4, asked: "He rolled in something. Bath, nothing off the jacket.", leave: "Jacket not clipped: it is being grown for stripping.", weeks: 6},
	{coats: "WO XW", service: "bath_brush", style: "bath_only", most: 1, asked: "Maintenance bath, blow straight and comb to the skin.", weeks: 3},
	{coats: "WO XW", service: "bath_brush", style: "bath_only", most: 1, asked: "Bath and brush, and please show me how to comb the legs.", weeks: 3},
	{coats: "WO XW", service: "bath_brush", style: "bath_only", least: 2, most: 4, asked: "Only a bath this time, we are growing it.", allows: "Already knotted at armpits and ears.", agreed: "Bath and ten minutes on the knots, trim in two weeks.", why: "Growing it on top of knots would end in a clip-off.", weeks: 2},
	{coats: "DB SI WO XW", service: "bath_brush", style: "puppy_intro", most: 4, need: "puppy", asked: "First proper visit. Bath and let her hear the dryer.", weeks: 3},
	{coats: "DA DB SI", service: "bath_brush", style: "bath_only", most: 4, need: "senior", asked: "Gentle bath in two halves, he tires quickly.", leave: "Lumpy left flank: brushed by hand only, marked on the body map.", weeks: 6},

	// Bath and tidy.
	{coats: "DA", service: "bath_tidy", style: "natural_tidy", most: 1, asked: "Bath, de-shed and neat feet.", weeks: 8},
	{coats: "DA", service: "bath_tidy", style: "natural_tidy", most: 4, asked: "Tidy the skirts and feet, leave the tail long.", leave: "Tail: full length kept.", weeks: 8},
	{coats: "DA DB", service: "bath_tidy", style: "natural_tidy", most: 2, asked: "Clip the belly, it drags mud in.", allows: "The belly is soft and sparse; the undercoat elsewhere must stay.", agreed: "Sanitary line and pads only, feathering shortened by scissors.", why: "A shaved belly on this coat chafes.", weeks: 7},
	{coats: "DB", service: "bath_tidy", style: "natural_tidy", most: 2, asked: "Round the feet and tidy the ears, natural look.", weeks: 7},
	{coats: "DB", service: "bath_tidy", style: "breed_outline", most: 4, asked: "Neaten the outline, she goes to a family wedding.", weeks: 8},
	{coats: "DA DB", service: "bath_tidy", style: "comfort_trim", most: 4, need: "senior", asked: "Quick tidy, he cannot stand for long.", allows: "Coat in fair order, the joints decide.", agreed: "Two sittings of twenty minutes, feet done lying down.", why: "Painful hips; no long scissoring.", leave: "Hips and tail base: sore, combed lightly only.", weeks: 6},
	{coats: "SI", service: "bath_tidy", style: "natural_tidy", most: 1, asked: "Keep the length, tidy feet and under the tail.", weeks: 6},
	{coats: "SI", service: "bath_tidy", style: "natural_tidy", most: 4, asked: "Thin the feathers a little and shape the ears.", weeks: 6},
	{coats: "DB SI", service: "bath_tidy", style: "puppy_intro", most: 4, need: "puppy", asked: "Full groom for the little one, please.", allows: "Twelve weeks into a puppy coat, nothing to style yet.", agreed: "Bath, face, feet and nails; the trim comes later.", why: "A first visit should end while the puppy still enjoys it.", weeks: 4},

	// Full groom, double and silky coats.
	{coats: "DB", service: "full", style: "breed_outline", most: 2, asked: "Proper outline after the breed, as in the photograph.", weeks: 8},
	{coats: "DB", service: "full", style: "breed_outline", most: 2, asked: "Take the trousers up off the ground, ruff stays.", leave: "Ruff: full length kept.", weeks: 8},
	{coats: "DB", service: "full", style: "short_trim", most: 2, asked: "Short all over, 10 mm, I cannot keep up with him.", allows: "A clipped double coat may come back thin.", agreed: "Feathering and belly down to 16 mm, back only carded.", why: "Keeps the guard hair; the owner signed that the advice was given.", weeks: 8},
	{coats: "SI", service: "full", style: "breed_outline", most: 1, asked: "Spaniel trim, long skirt, clean throat.", weeks: 6},
	{coats: "SI", service: "full", style: "comb_trim", most: 1, asked: "One length, about 16 mm, and a soft face.", weeks: 7},
	{coats: "SI", service: "full", style: "short_trim", most: 2, asked: "Summer trim, 6 mm on the body.", weeks: 8},
	{coats: "SI", service: "full", style: "breed_outline", least: 2, most: 2, asked: "Leave the skirt long, it is her best part.", allows: "Feathers matted to the skin on both sides.", agreed: "Skirt to a 10 mm comb, ear edges by finger and scissors.", why: "The comb would not pass; cutting in would leave holes.", weeks: 5},
	{coats: "SI", service: "full", style: "comfort_trim", most: 2, need: "senior", asked: "Something easy, she hates standing.", leave: "Small wart by the right eye: cut around, not over.", weeks: 5},
	{coats: "SI DB", service: "full", style: "puppy_intro", most: 2, need: "puppy", asked: "First trim, but keep the puppy look.", weeks: 5},

	// Wire coats.
	{coats: "WI", service: "full", style: "clipped_pattern", most: 2, asked: "Terrier look: short jacket, legs longer, square beard.", weeks: 8},
	{coats: "WI", service: "full", style: "clipped_pattern", most: 2, asked: "Clip the back, leave eyebrows and beard.", weeks: 7},
	{coats: "WI", service: "full", style: "clipped_pattern", most: 2, asked: "Breed look like the calendar, please.", allows: "Clipped for years, the coat is soft and pale.", agreed: "Clipped pattern, blended with thinners, undercoat carded.", why: "Stripping would not bring the texture back soon.", weeks: 8},
	{coats: "WI", service: "full", style: "short_trim", most: 4, asked: "Short and easy, 6 mm, beard halved.", weeks: 9},
	{coats: "WI", service: "full", style: "comfort_trim", most: 4, need: "senior", asked: "Easy trim, and mind the thin skin on his back.", leave: "Thin skin over the loin: finish blade only, one pass.", weeks: 6},
	{coats: "WI", service: "hand_strip", style: "hand_stripped", most: 4, asked: "Strip the jacket, the coat is blown.", weeks: 10},
	{coats: "WI", service: "hand_strip", style: "hand_stripped", most: 4, asked: "Roll the coat as last time, furnishings tidied.", weeks: 6},

	// Wool and curly crosses.
	{coats: "WO XW", service: "full", style: "short_trim", most: 2, asked: "Short, 6 mm, round face, he swims every day.", weeks: 6},
	{coats: "WO XW", service: "full", style: "comb_trim", most: 1, asked: "Teddy look, 16 mm on the body, legs a bit longer.", weeks: 6},
	{coats: "WO XW", service: "full", style: "comb_trim", most: 1, asked: "Like this photo, fluffy all over.", allows: "The photo shows a silkier coat.", agreed: "16 mm comb, shape as in the photo but not the texture.", why: "Lengths were shown on the card in millimetres.", weeks: 5},
	{coats: "WO", service: "full", style: "scissored", most: 1, asked: "Scissored legs, clean feet, a round top.", weeks: 5},
	{coats: "WO XW", service: "full", style: "scissored", most: 1, asked: "Keep him natural, only neater, everything by scissors.", weeks: 5},
	{coats: "WO XW", service: "full", style: "clipped_pattern", least: 2, most: 2, asked: "Fluffy, 25 mm all over.", allows: "Knots on the body, the head combs through.", agreed: "Body 6 mm, head and tail kept long, six-week plan back to 13 mm.", why: "The longest length that clears the knots everywhere decides.", weeks: 6},
	{coats: "WO XW", service: "full", style: "short_trim", most: 2, asked: "Same as last time.", allows: "No lengths on the card from the last salon.", agreed: "6 mm on the body, 13 mm on the legs.", why: "Measured and agreed anew instead of guessing.", weeks: 6},
	{coats: "WO XW", service: "full", style: "comb_trim", most: 2, asked: "Very clean face, as bare as possible.", allows: "Cheeks are pink and warm.", agreed: "Face with the lie of the coat, nothing shorter than 1.5 mm.", why: "Shorter would irritate the skin more.", leave: "Cheeks: not clipped in reverse, irritated.", weeks: 5},
	{coats: "WO XW", service: "full", style: "comfort_trim", most: 2, need: "senior", asked: "Short and quick, she is fourteen.", leave: "Milky left eye: no points on that side, hair combed away only.", weeks: 5},
	{coats: "WO XW", service: "full", style: "puppy_intro", most: 2, need: "puppy", asked: "Face, feet and bottom, and let him get used to it.", weeks: 4},
	{coats: "WO XW", service: "full", style: "short_trim", most: 2, asked: "Pluck the ears and trim, please.", agreed: "Trim; ears looked at and wiped, hair trimmed around.", why: "The salon does not pluck healthy ears.", weeks: 6},

	// Coats that have to come off.
	{coats: "WO XW", service: "strip_off", style: "clip_off", least: 3, most: 4, asked: "Just brush him out, whatever it takes.", allows: "Felted from shoulder to tail.", agreed: "Clip-off at 3 mm, head combed as far as it goes.", why: "Brushing would take hours and hurt; consent in writing.", weeks: 6},
	{coats: "WO XW SI", service: "strip_off", style: "clip_off", least: 3, most: 4, asked: "Start again, we let it go over the winter.", weeks: 8},
	{coats: "DB SI", service: "strip_off", style: "clip_off", least: 3, most: 4, asked: "Get the knots out but keep her fluffy.", allows: "Tight mats on belly, skirts and behind the ears.", agreed: "Mats off at 1.5 to 3 mm, back left long and carded.", why: "Only the matted parts have to go; consent in writing.", weeks: 6},
	{coats: "WO XW SI DB", service: "strip_off", style: "clip_off", least: 3, most: 4, asked: "He shakes his head, please take the ear mats off.", allows: "Ears pelted to the edge.", agreed: "Clip-off, ears last, calm half hour before going home.", why: "Blood rushes back when heavy mats come off the ears.", leave: "Ear edges: not scissored, checked with a finger.", weeks: 5},

	// Dry grooms.
	{coats: "SI WI WO XW", service: "dry", style: "short_trim", most: 4, asked: "No bath today, he had one on Sunday. Trim only.", weeks: 6},
	{coats: "SI WI WO XW", service: "dry", style: "comfort_trim", most: 4, asked: "She has stitches in her leg; only the hair round face and feet.", agreed: "Dry trim away from the leg.", why: "The vet said no water for ten days.", leave: "Right foreleg: stitches, nothing near it.", weeks: 4},
}
