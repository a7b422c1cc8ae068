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
		start := time.Now()
		at = p.round(at)
		// Whoever types comes first: a drawer that is slow rests as long as it has drawn.
		if took := time.Since(start); took > restAfter {
			select {
			case <-ctx.Done():
				return
			case <-time.After(min(took, mostRest)):
			}
		}
	}
}

const (
	restAfter = 20 * time.Millisecond
	mostRest  = 500 * time.Millisecond
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
		at = p.newScene(moment, number, at)
	}
	for _, x := range p.windows() {
		if p.passed(number) {
			return at // there is a newer moment, and the bell has rung for it
		}
		p.update(at, x)
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

// update sends a window what it does not have yet. A drawing that breaks down is
// said, and takes nothing with it.
func (p *Page) update(at *scene, x *stream) {
	defer func() {
		if cause := recover(); cause != nil {
			p.server.options.Log.Error("a drawing broke down", "file", p.Path, "cause", fmt.Sprint(cause), "stack", string(debug.Stack()))
			x.put(words, encode(said{Number: at.number, File: at.name(), Why: "This cannot be drawn; the program's log says why."}))
		}
	}()
	i, look := at.resolve(x.looksAt())
	if key := fmt.Sprint(at.number, i, look.Colourway); key != x.sentWords {
		x.put(words, at.words(i, look))
		x.sentWords = key
	}
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
