// Package photo makes a clean JPEG out of the bytes somebody sent as a photo, or
// says in words why it does not. It knows no request and no database.
//
// What comes out was painted and packed anew: nothing of what a camera or a
// person wrote beside the picture is in it, no place, no device, no time, no
// thumbnail and no second file hidden behind the first.
package photo
