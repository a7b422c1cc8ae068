package preview

import (
	"context"
	"encoding/json"
	"fmt"
	"runtime/debug"
	"time"
)

// run draws what the windows of the page look at, whenever the file, the cursor or
// a window has changed. What changes meanwhile is drawn once, as it is in the end.
func (p *Page) run(ctx context.Context) {
	var at *scene
	for {
		select {
		case <-ctx.Done():
			return
		case <-p.bell:
		}
		at = p.round(at)
		// Whoever types comes first: a drawer that is slow rests as long as it has drawn.
		if p.pictureTook > restAfter {
			select {
			case <-ctx.Done():
				return
			case <-time.After(min(p.pictureTook, maxRest)):
			}
		}
	}
}

const (
	restAfter = 20 * time.Millisecond
	maxRest   = 500 * time.Millisecond

	slowWords   = 50 * time.Millisecond
	typingRests = 150 * time.Millisecond
)

// round brings every window up to date and gives the scene that it was drawn from.
func (p *Page) round(at *scene) *scene {
	p.mu.Lock()
	moment, number, lit, litNo := p.moment, p.number, p.lit, p.litNo
	p.mu.Unlock()
	if number == 0 {
		return at // nothing was shown yet
	}
	if at == nil || at.number != number {
		at = newScene(moment, number, at)
	}
	windows := p.windows()
	// Pictures first: words are ten times the work, since every piece is measured for
	// them. Those of a large block wait until typing rests.
	start := time.Now()
	for _, x := range windows {
		p.guard(at, x, (*scene).updatePicture)
	}
	p.pictureTook = time.Since(start)
	if len(windows) > 0 && at.said == nil && p.wordsTook > slowWords {
		select {
		case <-p.bell:
			p.ring()
			return at // what is new comes first
		case <-time.After(typingRests):
		}
	}
	for _, x := range windows {
		if p.passed(number) {
			return at // there is a newer moment, and the bell has rung for it
		}
		start, had := time.Now(), len(at.said)
		p.guard(at, x, (*scene).updateWords)
		if len(at.said) > had {
			p.wordsTook = time.Since(start)
		}
	}
	for _, x := range windows {
		if x.sentLight != litNo {
			x.put(light, encode(lit))
			x.sentLight = litNo
		}
	}
	return at
}

// passed says that there is a newer moment.
func (p *Page) passed(number int) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.number != number
}

// guard brings a window up to date. A drawing that breaks down is said, and takes
// nothing with it.
func (p *Page) guard(at *scene, x *stream, update func(*scene, *stream)) {
	defer func() {
		if cause := recover(); cause != nil {
			p.server.options.Log.Error("internal error in a drawing", "file", p.Path, "cause", fmt.Sprint(cause), "stack", string(debug.Stack()))
			x.put(words, encode(said{Number: at.number, File: at.name(), Why: "This cannot be drawn because of an internal error; see the log of the program."}))
		}
	}()
	update(at, x)
}

// updateWords sends the words that a window does not have yet.
func (at *scene) updateWords(x *stream) {
	i, look := at.resolve(x.looksAt())
	if key := fmt.Sprint(at.number, i, look.Colourway); key != x.sentWords {
		x.put(words, at.words(i, look))
		x.sentWords = key
	}
}

// updatePicture sends the picture that a window does not have yet.
func (at *scene) updatePicture(x *stream) {
	i, look := at.resolve(x.looksAt())
	if key := fmt.Sprint(at.number, i, look); key != x.sentPicture && i >= 0 {
		x.put(picture, at.picture(i, look))
		x.sentPicture = key
	}
}

// encode is a value as JSON on one line, with <, > and & escaped.
func encode(v any) []byte {
	text, err := json.Marshal(v)
	if err != nil {
		panic(err) // these are strings and numbers
	}
	return text
}
