package assessment

// PhotoKind says which moment of a groom a photo shows.
type PhotoKind string

// The kinds, as they are stored.
const (
	PhotoBefore PhotoKind = "before"
	PhotoAfter  PhotoKind = "after"
	PhotoOther  PhotoKind = "other"
)

// PhotoKinds are all of them, in the order in which photos are shown.
var PhotoKinds = []PhotoKind{PhotoBefore, PhotoAfter, PhotoOther}

// Words is the kind as people read it.
func (k PhotoKind) Words() string {
	switch k {
	case PhotoBefore:
		return "Before"
	case PhotoAfter:
		return "After"
	case PhotoOther:
		return "Other"
	}
	return ""
}

// Bounds of what one groom and one person's day hold. Common practice, no
// source: enough for all sides before and after, and for a full day at the
// table; a fault or a mischief that sends on and on is stopped by them.
const (
	MaxPhotos       = 8
	MaxPhotosPerDay = 150
)

// PhotoPlace is a groom, signed or in draft, and what there is of photos when
// somebody adds one to it or takes one down.
type PhotoPlace struct {
	Role      Role
	Own       bool // the draft or the assessment is this person's
	Signed    bool
	Corrected bool // a newer version has replaced it
	Shown     int  // photos it shows now, those of the versions it corrects included
	Lately    int  // photos this person has added anywhere within 24 hours
}

// May reports whether this person adds photos here and takes them down: whoever
// marks or marked the groom, and the head groomer once it is signed.
func (p *PhotoPlace) May() bool {
	return p.Role.Judges() && (p.Own || p.Signed && p.Role == HeadGroomer)
}

// RefuseAdding returns why a photo may not be added, or nothing. Again says that
// the same picture is shown here already.
func (p *PhotoPlace) RefuseAdding(kind PhotoKind, again bool) string {
	switch {
	case kind.Words() == "":
		return "Say what the photo shows: before, after or other."
	case p.Corrected:
		return "A newer version has replaced this groom. Add the photo there."
	case again:
		return "This very photo is here already. Choose another."
	case p.Shown >= MaxPhotos:
		return "A groom holds " + plural(MaxPhotos, "photo") + ". Take one down first."
	case p.Lately >= MaxPhotosPerDay:
		return "You have added " + plural(MaxPhotosPerDay, "photo") + " within a day, which is the most. Go on tomorrow."
	}
	return ""
}

// RefuseTakingDown returns why a photo may not be taken down, or nothing. From a
// draft it goes without a word; from a signed groom only with a reason.
func (p *PhotoPlace) RefuseTakingDown(reason string) string {
	switch {
	case p.Signed && reason == "":
		return "Say why the photo is taken down. The reason stays with the groom."
	case len([]rune(reason)) > MaxText:
		return "This text is too long; keep it to 2,000 characters."
	}
	return ""
}
