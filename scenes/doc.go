// Package scenes holds what a display shows over time: frames of drive levels,
// the readers that turn pictures, animations, tables and sound into frames, and
// the generators that compute them.
//
// # Levels
//
// A frame is Rows*Cols levels, row 0 at the top of the picture, column 0 at its
// left, each −1…1 of full drive; a negative level is a reversed current. How
// long a frame lasts is its own, in seconds.
//
// # From a picture to levels
//
// Every pixel's colour is taken as sRGB, decoded to linear light (IEC 61966-2-1)
// and weighted to a luminance 0…1 with that standard's primaries (ITU-R BT.709:
// 0.2126, 0.7152, 0.0722). The luminances are then averaged over the area of
// each grid cell, and the average is turned into a level by a Mapping. Averaging
// light, not code values, keeps the mean of a fine black and white pattern at
// one half. Colour profiles, PNG gamma chunks and EXIF orientation are not
// looked at.
//
// # Files
//
// Open chooses by content: GIF, PNG, JPEG, WAV, the binary frame table
// (WriteTable), and by the endings .csv and .toml the level table (WriteCSV) and
// the scene file (ReadSceneFile). A folder is read as one picture per frame.
// Readers take a name that only serves their errors. Every size a file claims is
// checked against Limits before anything is allocated for it, and so is the work that
// a small file can ask for: what is accepted is read in a few seconds and 300 MB besides
// the scene, and all of it stops when its context is done.
package scenes
