package stringing

import "math"

// ConcertPitch is the frequency of A4 in hertz by ISO 16:1975.
const ConcertPitch = 440.0

// The notes are numbered from 1 (A0) as on a keyboard of 88.
const (
	noteA4    = 49
	perOctave = 12
)

// Frequency returns the pitch in hertz of a note in equal temperament, notes numbered from 1 (A0)
// to 88 (C8) and beyond, with A4 (note 49) at a4 hertz.
func Frequency(note int, a4 float64) float64 {
	return a4 * math.Exp2(float64(note-noteA4)/perOctave)
}

var names = [perOctave]string{"A", "A#", "B", "C", "C#", "D", "D#", "E", "F", "F#", "G", "G#"}

// Name returns the note's name in scientific pitch notation: A0 for 1, C4 for 40.
func Name(note int) string {
	index := ((note-1)%perOctave + perOctave) % perOctave
	octave := int(math.Floor(float64(note+8) / perOctave)) // the octave turns at C
	return names[index] + itoa(octave)
}
