// Package read turns pictures, animations, sound and tables into scenes.
//
// Every pixel's colour is taken as sRGB, decoded to linear light (IEC 61966-2-1)
// and weighted to a luminance 0…1 with that standard's primaries (ITU-R BT.709:
// 0.2126, 0.7152, 0.0722). The luminances are then averaged over the area of
// each grid cell, and the average is turned into a level by a Mapping. Averaging
// light, not code values, keeps the mean of a fine black and white pattern at
// one half. Colour profiles, PNG gamma chunks and EXIF orientation are not
// looked at.
//
// Readers take a name that only serves their errors. Every size a file claims is
// checked against Limits before anything is allocated for it, and so is the work that
// a small file can ask for: what is accepted is read in a few seconds and 300 MB besides
// the scene, and all of it stops when its context is done.
package read
