package demo

import (
	"math/rand/v2"
	"slices"
	"strings"

	"tablehand/assessment"
	"tablehand/curriculum"
)

// advice is what assessors say about one criterion.
type advice struct {
	keep   []string // at L4 and L5
	change []string // below L4
	next   []string // what to practise after a change
}

// feedback fills in one thing to keep, one to change and what comes next,
// from the best and the weakest criterion.
func feedback(r *rand.Rand, p *curriculum.Programme, g *assessment.Groom) {
	best, worst := "", ""
	offset := r.IntN(len(p.Rubric.Criteria)) // so that ties do not always fall on the same criterion
	for i := range p.Rubric.Criteria {
		id := p.Rubric.Criteria[(i+offset)%len(p.Rubric.Criteria)].ID
		level := g.Marks[id].Level
		if level == 0 {
			continue
		}
		if level >= curriculum.CleanLevel && (best == "" || level > g.Marks[best].Level) {
			best = id
		}
		if level < curriculum.CleanLevel && (worst == "" || level < g.Marks[worst].Level) {
			worst = id
		}
	}
	g.Keep = "You asked when you were not sure. Keep doing that."
	if best != "" {
		g.Keep = fitting(r, g, advices[best].keep)
	}
	if worst != "" {
		g.Change, g.Next = fitting(r, g, advices[worst].change), fitting(r, g, advices[worst].next)
	} else {
		g.Change, g.Next = fitting(r, g, polish), fitting(r, g, ahead)
	}
	name, _, _ := strings.Cut(g.Dog, " ")
	for _, text := range []*string{&g.Keep, &g.Change, &g.Next} {
		*text = strings.ReplaceAll(*text, "{dog}", name)
	}
}

// fitting picks a sentence; those about cutting are left for dogs that were
// trimmed.
func fitting(r *rand.Rand, g *assessment.Groom, list []string) string {
	var some []string
	for _, text := range list {
		cuts := slices.ContainsFunc([]string{"legs", "head", "tail", "trim", "blade", "scissors", "longer"}, func(w string) bool { return strings.Contains(text, w) })
		if !cuts || g.Marks["R8"].Level > 0 {
			some = append(some, text)
		}
	}
	if len(some) == 0 {
		some = list
	}
	return pick(r, some)
}

// polish and ahead are for grooms in which nothing fell short.
var polish = []string{
	"Only finish: a second comb-out before the last look would have shown the two hairs at the elbow.",
	"Say your plan aloud before you start, it was all in your head again.",
	"Step back once more before hand-back, from all five sides.",
	"Put the comb down between passes, not under your arm.",
	"Nothing of weight. Write the blade numbers down while you work, not after.",
	"Let {dog} rest a minute before the head; you had the time.",
	"Lay the tools out in the order you use them.",
	"Tell the owner what you found before you show the trim.",
}

var ahead = []string{
	"A bigger dog of the same coat next week.",
	"Next time I sit across the room; you run the table.",
	"A wire coat as soon as one is booked.",
	"Try the same trim with a longer comb.",
	"Take the consultation from the door next time.",
	"A livelier dog, same service.",
	"Explain each step to me as if I were new.",
	"Same again on a coat you have not had yet.",
}

var advices = map[string]advice{
	"R1": {
		keep:   []string{"Same order over the whole dog, and you wrote it down before the water ran.", "You found the sore spot on {dog} before the owner mentioned it.", "Consent was clear, with the risk said out loud."},
		change: []string{"The mouth and under the tail were left out until I asked.", "You went to the bath before the findings were written.", "The owner signed before you had said what could go wrong."},
		next:   []string{"Do the check aloud, nose to tail, on every dog this week.", "Fill in the body map first; nobody gets wet without it."},
	},
	"R2": {
		keep:   []string{"You saw {dog} lick its lips and gave the break before it was needed.", "One hand on the dog from first to last.", "Loop behind the ears, two fingers of room, off before the lift. Right."},
		change: []string{"{dog} showed the white of its eye for minutes before you slowed down.", "The loop sat too low on the neck.", "You turned for the comb with the dog still fastened."},
		next:   []string{"Name each sign of stress aloud as you see it.", "Set everything within reach before the dog goes up."},
	},
	"R3": {
		keep:   []string{"Wet to the skin everywhere, even under the collar line.", "Face by hand, no jet near it.", "You tested the water again halfway through."},
		change: []string{"Belly and armpits came out still soapy.", "The shampoo went on before the coat was wet through.", "Water ran into one ear; tilt and cover next time."},
		next:   []string{"Rinse twice as long as you wash, and check three places with your fingers.", "Wash in the same order you check."},
	},
	"R4": {
		keep:   []string{"Nozzle stayed close and moved with the coat, no whip knots.", "You felt the air on your own hand first.", "Breaks every few minutes, and {dog} stayed with you."},
		change: []string{"Ears and between the toes were still damp.", "The nozzle came too near the face.", "You stayed on one spot too long with the warm air."},
		next:   []string{"Use the dryness list before you turn the dryer off.", "Start at the lowest speed at the rear, and count to thirty per area."},
	},
	"R5": {
		keep:   []string{"Layer by layer to the skin, and you held the hair above the knot.", "The comb went through at all four hidden places.", "You stopped brushing when the skin pinked. Right call."},
		change: []string{"The comb still caught behind the ears.", "You brushed over the top in the armpits.", "Too many strokes on the same knot at the thigh."},
		next:   []string{"Comb test out loud at twelve places.", "Hold a parting open for me on the next double coat."},
	},
	"R6": {
		keep:   []string{"You touched the blade to your wrist at each change of area.", "Table wiped, then sprayed, and the contact time kept.", "You put the dull blade aside without being told."},
		change: []string{"The blade ran for eight minutes without a check.", "Loops were not disinfected between dogs.", "Scissors lay open on the table with the dog up."},
		next:   []string{"Timer at three minutes, two blades in turn.", "Use the between-dogs list until it bores you."},
	},
	"R7": {
		keep:   []string{"Skin flat at flank and loin, no lines.", "You found the flank web with a finger before the blade got there.", "Slow and level, and you let the coat fall."},
		change: []string{"Track lines over the ribs: coat not lifted, blade tilted.", "You went up into the fold at the throat.", "Pink along the flank: too many passes on one place."},
		next:   []string{"Re-comb and take a slower second pass with the same blade.", "Stretch, look, then clip: say it at each fold."},
	},
	"R8": {
		keep:   []string{"Four round feet that match.", "Points away from {dog} every single time.", "You looked from below before the last cut."},
		change: []string{"Feet flat in front, no bevel.", "A step at the left hock; you cut before combing.", "Hind legs do not match."},
		next:   []string{"Box, corners, then bevel, and look from below.", "Comb out, cut only what stands out, comb again."},
	},
	"R9": {
		keep:   []string{"The head is level from the front and from above.", "No line between skull and neck.", "Hand under the chin when {dog} turned. Good."},
		change: []string{"The visor falls into the right eye.", "A hole at the shoulder from thinning against the lie.", "One cheek is fuller than the other."},
		next:   []string{"Check from the front, the top and both sides before you stop.", "Count the snips with the thinners and comb each time."},
	},
	"R10": {
		keep:   []string{"All nails in thin slices, dewclaws too.", "New cotton for each eye.", "You saw the red ear, stopped, and told the owner."},
		change: []string{"One dewclaw was missed.", "You went for one big cut on a black nail.", "The left ear was not looked at before cleaning."},
		next:   []string{"Count nails aloud, eighteen or more.", "Slice until the centre turns grey, then stop."},
	},
	"R11": {
		keep:   []string{"Just what was agreed, and both sides match.", "Better than that coat promised.", "The line you chose suits {dog}."},
		change: []string{"The left side is longer than the right.", "The tail was to stay long; it did not.", "One of the owner's wishes was forgotten until I asked.", "Close to the brief, but the legs are shorter than agreed."},
		next:   []string{"Read the brief again before the last ten minutes.", "Repeat the brief aloud once the dog is on the table."},
	},
	"R12": {
		keep:   []string{"Pads, nails, body, legs, head: no going back.", "In good time and never in a hurry.", "You used the drying time to set out the tools."},
		change: []string{"You went back and forth between head and legs.", "Started at the wrong end twice.", "Over time by half; the comb-out came in three parts.", "Twenty minutes were lost looking for blades."},
		next:   []string{"Use the order card and stay with it.", "Write down when each part ends, then we look at it."},
	},
	"R13": {
		keep:   []string{"You told the owner about the graze before they asked.", "The record was complete before {dog} left.", "Clear about brushing at home, with the comb in your hand."},
		change: []string{"Blade numbers and findings are missing in the record.", "Nothing was said about the next visit.", "The owner heard of the knot only at the till."},
		next:   []string{"Findings first, then the trim, then the next date.", "Write the record while the dog rests."},
	},
}
