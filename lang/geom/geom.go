// Package geom knows lengths, points, lines and polygons, and nothing of the
// language.
//
// # The unit
//
// Every length is counted in hairs. A hair is 0.2 mm, the least distance that
// cloth can tell, and 1 in = 25.4 mm exactly (Federal Register, "Refinement
// of Values for the Yard and the Pound", 1 July 1959), so that
//
//	1 in = 127 hairs    1 mm = 5 hairs
//
// are both whole: a float64 holds every binary fraction of an inch and every
// fifth of a millimetre exactly, and the one tolerance of the project is the
// number 1. A second, far smaller distance (noise, in segment.go) tells places
// apart that only arithmetic has parted.
//
// # What is where
//
//	num, exact         fractions, and places made from places, exact where they can be
//	lengths            lengths as people write them, and as they are typed
//	segment, polygon   distances, area, inside or outside, welding, straightening
//	transform          mirrored, turned, moved
//	cut                chords of a polygon and its two parts: what a seam does
//	crossing, boolean  is it simple; outlines of unions and of what is left
//	circle, hull       the largest circle in, the least rectangle around
//	grow               allowances
//	index              many points and segments: welding, and finding what is near
//
// Functions are pure and never panic on coordinates of any kind. Where the
// input has no answer they return ok false, no chords, or a circle of radius 0.
package geom

import "math"

// The tolerance and the units, in hairs.
const (
	Hair       = 1.0 // two corners nearer than this are one corner
	Inch       = 127.0
	Millimetre = 5.0
	Centimetre = 50.0
)

// Point is a place seen from the finished side, in hairs: x runs right, y up.
type Point struct{ X, Y float64 }

// Add is p + q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub is p - q.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Scale is k · p.
func (p Point) Scale(k float64) Point { return Point{k * p.X, k * p.Y} }

// Dot is the scalar product.
func (p Point) Dot(q Point) float64 { return p.X*q.X + p.Y*q.Y }

// Cross is the z component of the vector product: positive when q lies
// anticlockwise of p.
func (p Point) Cross(q Point) float64 { return p.X*q.Y - p.Y*q.X }

// Len is the distance from the origin.
func (p Point) Len() float64 { return math.Sqrt(p.X*p.X + p.Y*p.Y) }

// Dist is the distance from p to q.
func (p Point) Dist(q Point) float64 { return p.Sub(q).Len() }

// Exact is a place whose coordinates are exact where the text is exact.
type Exact struct{ X, Y Num }

// Point is the nearest float point.
func (e Exact) Point() Point { return Point{e.X.Float64(), e.Y.Float64()} }

// Polygon is a closed chain of corners, the last joined to the first. Unless
// a function says otherwise it may be given either way round.
type Polygon []Point

// Segment is the straight piece from A to B.
type Segment struct{ A, B Point }

// Len is the segment's length.
func (s Segment) Len() float64 { return s.A.Dist(s.B) }
