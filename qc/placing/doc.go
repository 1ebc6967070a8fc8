// Package placing tells which locations of a part a photo shows.
//
// A reading in the history of the wrong rivet is worse than none, so a location is proposed only
// where the pattern of all fasteners on the photo fits what is known of the part in one way, with
// a margin, and nothing else that is known contradicts it. Everywhere else it asks which one a
// fastener is; what follows from the answer by the pattern is filled in, and where an answer still
// leaves two ways, it asks again.
//
// What is known of a part are the pins on its layout picture and the places that earlier photos
// measured ([Maps]). Lengths are millimetres; [Point] has x to the right and y up, as seen from
// above the sheet, in the frame of one photo's card or of the layout picture.
//
// Start with [Of].
package placing
