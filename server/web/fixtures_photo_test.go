package web

var fixtureShots = []Photo{
	{"p1", "/grooms/signed/g412/photos/p1/small", "/grooms/signed/g412/photos/p1/large", "Before", "Before: Biscuit", "Added by Rowan Ash, 3 March 2026 13:02 (UTC+0)", "77b0c41d09", nil},
	{"p2", "/grooms/signed/g412/photos/p2/small", "/grooms/signed/g412/photos/p2/large", "After", "After: Biscuit", "Added by Rowan Ash, 3 March 2026 14:02 (UTC+0)", "0a9be2c417", nil},
}

func fixturePhotos(signed bool) Photos {
	p := Photos{Shell: shell("Photos of Biscuit", "Grooms"), Apprentice: "Jory Pell", Dog: "Biscuit", Form: NewPhotoForm()}
	p.Back = Link{"Back to the groom", "/grooms/drafts/d9"}
	p.Form.Action, p.Form.ClientID, p.Form.Most = "/grooms/drafts/d9/photos", "9f", "8 photos"
	p.Form.Kinds = []Choice{{Value: "before", Label: "Save as before"}, {Value: "after", Label: "Save as after"}, {Value: "other", Label: "Save as other"}}
	for _, s := range fixtureShots {
		s.TakeDown = NewTakeDown("/grooms/signed/g412/photos/"+s.Key+"/withdraw", s.Key, signed)
		p.Photos = append(p.Photos, s)
	}
	if signed {
		p.Day = "3 March 2026"
		p.Down = []PhotoDown{{"Other", "Added by Rowan Ash, 3 March 2026 13:10 (UTC+0)", "Taken down by Rowan Ash, 4 March 2026 09:00 (UTC+0)", "An address tag can be read.", "5d11f0ac9e"}}
		p.Fail(p.Photos[0].TakeDown.Reason, "Say why the photo is taken down. The reason stays with the groom.")
		p.Fail(&p.Form.File, "This is a HEIC picture, which cannot be kept here.")
	}
	return p
}

// photoFixtures are the page of photos in its states, and the pages that show
// some.
func photoFixtures(draft GroomDraft, readBack GroomReadBack, groom Groom) []namedPage {
	none, full := fixturePhotos(false), fixturePhotos(false)
	none.Photos = nil
	full.Form, full.Full = nil, "A groom holds 8 photos. Take one down first."
	draft.Photos = PhotoStrip{Photos: fixtureShots, URL: "/grooms/drafts/d9/photos", Add: true}
	readBack.Photos = draft.Photos
	groom.Photos = PhotoStrip{Photos: fixtureShots, URL: "/grooms/signed/g412/photos", Add: true, Show: "/grooms/signed/g412?photos=large#photos"}
	printed := groom
	printed.Photos.Print = true
	sealed := fixtureSealed(true)
	sealed.Photos = groom.Photos
	tooLarge := PhotoTooLarge(shell("", ""), Link{"Back to the photos", "/grooms/drafts/d9/photos"})
	return []namedPage{{"photos", fixturePhotos(false)}, {"photos-signed", fixturePhotos(true)}, {"photos-none", none}, {"photos-full", full}, {"photos-too-large", tooLarge},
		{"groom-draft-photos", draft}, {"groom-read-back-photos", readBack}, {"groom-photos", groom}, {"groom-photos-large", printed}, {"sealed-photos", sealed}}
}
