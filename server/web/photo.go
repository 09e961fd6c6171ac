package web

// Photos is the page on which photos of a groom, or of a draft, are added, looked
// at and taken down.
type Photos struct {
	Shell
	Apprentice, Dog, Day string
	Photos               []Photo
	Down                 []PhotoDown // taken down after signing, with the reason
	Form                 *PhotoForm  // nil where none can be added
	Full                 string      // why none can be added now; may be empty
}

// Photo is one photo as it is shown.
type Photo struct {
	Key          string
	Small, Large string // addresses of its two sizes
	Kind         string // "Before"
	Alt          string // "Before: Biscuit"
	Added        string // "Added by Rowan Ash, 7 March 2026 14:02 (UTC+0)"
	Fingerprint  string // first characters of the SHA-256 of the large size
	TakeDown     *TakeDown
}

// TakeDown is the form that takes one photo down.
type TakeDown struct {
	Action string
	Reason *Field // nil where none is asked
}

// PhotoDown is a photo that was taken down: no picture, but who, when and why.
type PhotoDown struct {
	Kind, Added, Down, Reason, Fingerprint string
}

// PhotoForm adds photos. Each button sends one kind.
type PhotoForm struct {
	Action   string
	ClientID string
	Camera   FileField
	File     FileField
	Kinds    []Choice // value and label of each button, sent as "kind"
	Most     string   // what a groom holds, "8 photos"
}

// FileField asks for a picture: from the camera, or from what is on the device.
type FileField struct {
	Name, Label, Hint, Error string
	Camera                   bool // opens the camera where there is one
}

func (f *FileField) fail(m string) string { f.Error = m; return f.Name }

// ID is the element id of the field.
func (f FileField) ID() string { return fieldID(f.Name) }

// DescribedBy lists the ids of the hint and the error, in reading order.
func (f FileField) DescribedBy() string { return describedBy(f.Name, f.Hint, f.Error) }

// NewPhotoForm is the form with its words; the kinds and the bounds are the
// server's.
func NewPhotoForm() *PhotoForm {
	return &PhotoForm{
		Camera: FileField{Name: "camera", Label: "Take a photo", Camera: true},
		File:   FileField{Name: "file", Label: "Or choose one that is on this device", Hint: "JPEG, PNG or WebP, at most 12 megabytes."},
	}
}

// NewTakeDown is the form that takes a photo down, with a reason where the groom
// is signed.
func NewTakeDown(action, photo string, signed bool) *TakeDown {
	if !signed {
		return &TakeDown{Action: action}
	}
	return &TakeDown{action, &Field{Form: photo, Name: "reason", Label: "Why?", Hint: "The picture goes for good. The reason and the photo's fingerprint stay with the groom.", Rows: 2}}
}

// PhotoStrip shows the photos of a groom on another page.
type PhotoStrip struct {
	Photos []Photo
	URL    string // the page of the photos; empty hides the link
	Add    bool   // more can be added there
	Print  bool   // large, and on paper too
	Show   string // address of this page with them large, or back without; empty hides the link
}

// PhotoTooLarge is for photos over the limit of what is sent at once.
func PhotoTooLarge(s Shell, back Link) ErrorPage {
	s.Title = "That photo is too large to send"
	return ErrorPage{Shell: s, Code: 413, Message: []string{
		"The most that can be sent at once is 12 megabytes. Nothing of it was saved.",
		"Choose a lower resolution in the camera's settings, or send one photo at a time. With scripts switched on, this page makes photos smaller before they are sent."},
		Next: []Link{back}}
}
