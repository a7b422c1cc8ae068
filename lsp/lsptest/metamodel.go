package lsptest

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"sync"
)

// MetaModel is the meta model of the protocol, as Microsoft publishes it (MIT
// licence). It lies beside the repository, not in it; where it is absent nothing is
// checked.
type MetaModel struct {
	Requests []struct {
		Method string `json:"method"`
		Params *Type  `json:"params"`
		Result *Type  `json:"result"`
	} `json:"requests"`
	Notifications []struct {
		Method string `json:"method"`
		Params *Type  `json:"params"`
	} `json:"notifications"`
	Structures   []*structure   `json:"structures"`
	Enumerations []*enumeration `json:"enumerations"`
	TypeAliases  []*struct {
		Name string `json:"name"`
		Type *Type  `json:"type"`
	} `json:"typeAliases"`

	params, results map[string]*Type
	structures      map[string]*structure
	enumerations    map[string]*enumeration
	aliases         map[string]*Type
}

// Type is a type of the meta model.
type Type struct {
	Kind    string          `json:"kind"`
	Name    string          `json:"name"`
	Element *Type           `json:"element"`
	Key     *Type           `json:"key"`
	Items   []*Type         `json:"items"`
	Value   json.RawMessage `json:"value"`
}

type structure struct {
	Name       string     `json:"name"`
	Extends    []*Type    `json:"extends"`
	Mixins     []*Type    `json:"mixins"`
	Properties []property `json:"properties"`
}

type property struct {
	Name     string `json:"name"`
	Type     *Type  `json:"type"`
	Optional bool   `json:"optional"`
}

type enumeration struct {
	Name   string `json:"name"`
	Custom bool   `json:"supportsCustomValues"`
	Values []struct {
		Value json.RawMessage `json:"value"`
	} `json:"values"`
}

// LoadMetaModel reads the meta model from beside the repository.
var LoadMetaModel = sync.OnceValues(func() (*MetaModel, error) {
	_, here, _, _ := runtime.Caller(0)
	root := filepath.Join(filepath.Dir(here), "..", "..")
	text, err := os.ReadFile(filepath.Join(root, "..", "shared", "data", "lsp", "metaModel.json"))
	if err != nil {
		return nil, errors.Join(errNoModel, err)
	}
	m := &MetaModel{
		params: map[string]*Type{}, results: map[string]*Type{}, structures: map[string]*structure{},
		enumerations: map[string]*enumeration{}, aliases: map[string]*Type{},
	}
	if err := json.Unmarshal(text, m); err != nil {
		return nil, err
	}
	for _, r := range m.Requests {
		m.params[r.Method], m.results[r.Method] = r.Params, r.Result
	}
	for _, n := range m.Notifications {
		m.params[n.Method] = n.Params
	}
	for _, s := range m.Structures {
		m.structures[s.Name] = s
	}
	for _, e := range m.Enumerations {
		m.enumerations[e.Name] = e
	}
	for _, a := range m.TypeAliases {
		m.aliases[a.Name] = a.Type
	}
	return m, nil
})

// Params is the type of a message's parameters; nil when it has none.
func (m *MetaModel) Params(method string) *Type {
	if m == nil {
		return nil
	}
	return m.params[method]
}

// Result is the type of a request's result.
func (m *MetaModel) Result(method string) *Type {
	if m == nil {
		return nil
	}
	return m.results[method]
}

// Check holds a value against a type. A property that the type does not have is
// as wrong as one that is missing.
func (m *MetaModel) Check(t *Type, value json.RawMessage) error {
	var v any
	d := json.NewDecoder(bytes.NewReader(value))
	d.UseNumber()
	if len(value) == 0 {
		value = []byte("null")
	} else if err := d.Decode(&v); err != nil {
		return err
	}
	return m.check(t, v, "$")
}

func (m *MetaModel) check(t *Type, v any, at string) error {
	bad := func() error { return fmt.Errorf("%s: %v is not %s", at, v, describe(t)) }
	switch t.Kind {
	case "base":
		if !isBase(t.Name, v) {
			return bad()
		}
		return nil
	case "reference":
		return m.reference(t, v, at)
	case "array":
		list, ok := v.([]any)
		if !ok {
			return bad()
		}
		for i, x := range list {
			if err := m.check(t.Element, x, fmt.Sprintf("%s[%d]", at, i)); err != nil {
				return err
			}
		}
		return nil
	case "map":
		object, ok := v.(map[string]any)
		if !ok {
			return bad()
		}
		var of Type
		if err := json.Unmarshal(t.Value, &of); err != nil {
			return err
		}
		for k, x := range object {
			if err := m.check(&of, x, at+"."+k); err != nil {
				return err
			}
		}
		return nil
	case "or":
		var why error
		for _, item := range t.Items {
			err := m.check(item, v, at)
			if err == nil {
				return nil
			}
			if why == nil || len(err.Error()) > len(why.Error()) { // the one that came furthest
				why = err
			}
		}
		return why
	case "and":
		for _, item := range t.Items {
			if err := m.check(item, v, at); err != nil {
				return err
			}
		}
		return nil
	case "tuple":
		list, ok := v.([]any)
		if !ok || len(list) != len(t.Items) {
			return bad()
		}
		for i, x := range list {
			if err := m.check(t.Items[i], x, fmt.Sprintf("%s[%d]", at, i)); err != nil {
				return err
			}
		}
		return nil
	case "stringLiteral":
		var want string
		if err := json.Unmarshal(t.Value, &want); err != nil || v != want {
			return bad()
		}
		return nil
	case "literal":
		var s structure
		if err := json.Unmarshal(t.Value, &s); err != nil {
			return err
		}
		return m.object(&s, v, at)
	}
	return fmt.Errorf("%s: unknown kind %s", at, t.Kind)
}

func (m *MetaModel) reference(t *Type, v any, at string) error {
	switch t.Name {
	case "LSPAny":
		return nil
	case "LSPObject":
		if _, ok := v.(map[string]any); !ok {
			return fmt.Errorf("%s: not an object", at)
		}
		return nil
	}
	if s := m.structures[t.Name]; s != nil {
		return m.object(s, v, at)
	}
	if a := m.aliases[t.Name]; a != nil {
		return m.check(a, v, at)
	}
	e := m.enumerations[t.Name]
	if e == nil {
		return fmt.Errorf("%s: the meta model has no %s", at, t.Name)
	}
	raw, _ := json.Marshal(v)
	for _, x := range e.Values {
		if string(x.Value) == string(raw) {
			return nil
		}
	}
	if _, text := v.(string); e.Custom && text {
		return nil
	}
	return fmt.Errorf("%s: %s is no %s", at, raw, t.Name)
}

func (m *MetaModel) object(s *structure, v any, at string) error {
	object, ok := v.(map[string]any)
	if !ok {
		return fmt.Errorf("%s: %v is not the object %s", at, v, s.Name)
	}
	known := map[string]property{}
	m.properties(s, known)
	for _, name := range sortedKeys(known) {
		p := known[name]
		x, there := object[name]
		if !there {
			if !p.Optional {
				return fmt.Errorf("%s: %s is missing in %s", at, name, s.Name)
			}
			continue
		}
		if err := m.check(p.Type, x, at+"."+name); err != nil {
			return err
		}
	}
	for _, name := range sortedKeys(object) {
		if _, ok := known[name]; !ok {
			return fmt.Errorf("%s: %s has no %s", at, s.Name, name)
		}
	}
	return nil
}

// properties gathers those of a structure; its own hide those it extends.
func (m *MetaModel) properties(s *structure, into map[string]property) {
	for _, base := range append(append([]*Type{}, s.Extends...), s.Mixins...) {
		if b := m.structures[base.Name]; b != nil {
			m.properties(b, into)
		}
	}
	for _, p := range s.Properties {
		into[p.Name] = p
	}
}

func isBase(name string, v any) bool {
	switch name {
	case "null":
		return v == nil
	case "boolean":
		_, ok := v.(bool)
		return ok
	case "string", "URI", "DocumentUri", "RegExp":
		_, ok := v.(string)
		return ok
	}
	n, ok := v.(json.Number)
	if !ok {
		return false
	}
	switch i, err := n.Int64(); name {
	case "integer":
		return err == nil && i >= -1<<31 && i < 1<<31
	case "uinteger":
		return err == nil && i >= 0 && i < 1<<31
	}
	return name == "decimal"
}

func describe(t *Type) string {
	if t.Name != "" {
		return t.Name
	}
	return "a " + t.Kind
}
