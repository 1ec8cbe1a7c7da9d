package simulate

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"hash/fnv"
	"slices"
	"strings"
	"time"

	"telltale/record"
	"telltale/reference"
)

// StudyTruth is what a study folder does not tell.
type StudyTruth struct {
	Scenario    string                     `json:"scenario"`
	About       string                     `json:"about"`
	Seed        uint64                     `json:"seed"`
	Wearings    map[string]Truth           `json:"wearings"`    // by id
	Holders     map[string]float64         `json:"holders"`     // penetration of the medium as clamped, by id
	Respirators map[string]RespiratorTruth `json:"respirators"` // by id
}

// RespiratorTruth is what a respirator truly is.
type RespiratorTruth struct {
	Filter       float64 `json:"filter_penetration_at_reference_flow"`
	RefFlowLMin  float64 `json:"reference_flow_l_min"`
	FlowExponent float64 `json:"flow_exponent"`
	Leak         Zones   `json:"median_leaks_at_rest"`
}

// JSON writes the truth for a file kept apart from the study.
func (t StudyTruth) JSON() []byte {
	out, err := json.MarshalIndent(t, "", "  ")
	if err != nil {
		panic("simulate: a truth that is no number: " + err.Error())
	}
	return append(out, '\n')
}

// Study plays a scenario: the files of a study folder (study.yaml, traces/ and
// papers/), the same study as facts, and the truth, which is in neither. The same
// seed and scenario give the same bytes.
func Study(seed uint64, sc Scenario) (Files, *record.Study, StudyTruth) {
	p := player{seed: seed, sc: sc, files: Files{}, study: &record.Study{Title: sc.Title}, clock: map[string]time.Duration{},
		truth: StudyTruth{Scenario: sc.Name, About: sc.About, Seed: seed, Wearings: map[string]Truth{}, Holders: map[string]float64{},
			Respirators: map[string]RespiratorTruth{}}}
	p.nouns()
	for _, w := range sc.Wearings {
		p.wearing(w)
	}
	before := map[string]time.Duration{}
	for _, c := range sc.Checks {
		p.check(c, before)
	}
	for _, h := range sc.Holders {
		p.holder(h)
	}
	p.files["study.yaml"] = studyYAML(p.study)
	return p.files, p.study, p.truth
}

// player walks through a scenario.
type player struct {
	seed  uint64
	sc    Scenario
	files Files
	study *record.Study
	truth StudyTruth
	clock map[string]time.Duration // since the start of each session
}

// derive makes a seed of its own for a part of the study, so that a part added
// leaves the others as they were.
func (p *player) derive(words ...string) uint64 {
	h := fnv.New64a()
	var b [8]byte
	binary.BigEndian.PutUint64(b[:], p.seed)
	h.Write(b[:])
	for _, w := range words {
		h.Write([]byte(w))
		h.Write([]byte{0})
	}
	return h.Sum64()
}

// nouns writes down people, counters and respirators.
func (p *player) nouns() {
	for _, x := range p.sc.People {
		p.study.Wearers = append(p.study.Wearers, x.Record())
	}
	for _, c := range p.sc.Counters {
		p.study.Counters = append(p.study.Counters, c.Record(c.ID))
	}
	for _, m := range p.sc.Models {
		r := m.Respirator
		if m.Paper != "" {
			r.Marks = "papers/" + m.ID + ".yaml"
			p.files[r.Marks] = []byte(m.Paper)
		}
		p.study.Respirators = append(p.study.Respirators, r)
		p.truth.Respirators[m.ID] = RespiratorTruth{m.Mask.Filter, m.Mask.refFlow().LitresPerMinute(), m.Mask.FlowExponent, m.Mask.Leak}
	}
}

// advance gives the time since the session's start and moves its clock on.
func (p *player) advance(session string, by time.Duration) time.Duration {
	now := p.clock[session]
	p.clock[session] = now + by
	return now
}

func (p *player) wearing(w Wearing) {
	s := p.sc.session(w.Session)
	after := p.advance(w.Session, perWearing)
	setup := p.setup(w, s, after)
	trace, truth := run(p.derive("wearing", w.ID), setup)
	at := s.At.Add(after)
	if w.Instants {
		trace.Start = at
	}
	p.keep(trace, "traces/"+w.ID+".csv", at, w.Ambient, w.Inside)
	p.truth.Wearings[w.ID] = truth
	rec := record.Wearing{ID: w.ID, Respirator: w.Respirator, Specimen: w.Specimen, Wearer: w.Wearer, Ambient: w.Ambient, Inside: w.Inside,
		At: at, Donning: w.donning(), Protocol: setup.Protocol.ID, Trace: trace, Observed: w.Observed, Excluded: w.Excluded}
	for _, r := range w.Repairs {
		rec.Repairs = append(rec.Repairs, r.As)
	}
	p.study.Wearings = append(p.study.Wearings, rec)
}

func (w Wearing) donning() string {
	if w.Donning == "" {
		return w.ID
	}
	return w.Donning
}

// setup gathers what there is to know about a wearing.
func (p *player) setup(w Wearing, s Session, after time.Duration) Setup {
	person, model := p.sc.person(w.Wearer), p.sc.model(w.Respirator)
	id := w.Protocol
	if id == "" {
		id = "free"
	}
	protocol, err := reference.ProtocolByID(id)
	if err != nil {
		panic("simulate: scenario " + p.sc.Name + ": " + err.Error())
	}
	ambient := p.sc.counter(s, w.Ambient)
	return Setup{Person: person, Mask: model.Mask, Repairs: w.Repairs, Room: s.room(ambient.Kind, after),
		Fit:     Don(p.derive("donning", w.Respirator, w.Specimen, w.Wearer, w.donning()), person.ScatterGSD),
		Ambient: ambient, Inside: p.sc.counter(s, w.Inside), Switched: w.Ambient == w.Inside,
		PurgeS: w.PurgeS, Raw: w.Raw, Protocol: protocol, FreeS: w.FreeS, Faults: w.Faults}
}

// check plays a check before the first wearing of its session; before counts
// back the time already taken.
func (p *player) check(c Check, before map[string]time.Duration) {
	rec := record.Check{Kind: c.Kind, Counters: c.Counters, Wearing: c.Wearing}
	if c.Kind == record.ReferenceRun {
		w, ok := p.study.Wearing(c.Wearing)
		if !ok {
			panic("simulate: scenario " + p.sc.Name + " checks wearing " + c.Wearing + ", which is not there")
		}
		rec.At, rec.Counters = w.At, slices.Compact([]string{w.Ambient, w.Inside})
		p.study.Checks = append(p.study.Checks, rec)
		return
	}
	s := p.sc.session(c.Session)
	before[c.Session] += perCheck
	back := -before[c.Session]
	rec.At = s.At.Add(back)
	seconds := c.Seconds
	if seconds == 0 {
		seconds = 60
	}
	name := fmt.Sprintf("%s-%s-%s", c.Kind, c.Session, c.Counters[0])
	seed := p.derive("check", name)
	first := p.sc.counter(s, c.Counters[0])
	room := s.room(first.Kind, back)
	switch c.Kind {
	case record.Zero:
		rec.Trace = Zero(seed, first, seconds)
	case record.SideBySide:
		rec.Trace = SideBySide(seed, room, first, p.sc.counter(s, c.Counters[1]), seconds)
	default:
		rec.Trace = RoomCheck(seed, room, first, seconds)
	}
	p.keep(rec.Trace, "traces/"+name+".csv", rec.At, c.Counters...)
	p.study.Checks = append(p.study.Checks, rec)
}

func (p *player) holder(h HolderRun) {
	s := p.sc.session(h.Session)
	after := p.advance(h.Session, perHolder)
	counter := p.sc.counter(s, h.Counter)
	room := s.room(counter.Kind, after)
	clamp := Clamp{Mask: p.sc.model(h.Respirator).Mask, Area: h.Area, Flow: h.Flow, Leak: h.Leak}
	seconds := h.Seconds
	if seconds == 0 {
		seconds = 120
	}
	trace := Holder(p.derive("holder", h.ID), room, clamp, counter, counter, seconds)
	at := s.At.Add(after)
	p.keep(trace, "traces/"+h.ID+".csv", at, h.Counter)
	p.truth.Holders[h.ID] = clamp.mean(room.bins())
	p.study.Holders = append(p.study.Holders, record.Holder{ID: h.ID, Respirator: h.Respirator, Specimen: h.Specimen,
		Area: h.Area, Flow: h.Flow, Counter: h.Counter, At: at, Trace: trace})
}

// mean is the clamp's penetration over all sizes of the room.
func (c Clamp) mean(bins []Size) float64 {
	sum, share := 0.0, 0.0
	for _, b := range bins {
		sum += b.Share * c.Penetration(b)
		share += b.Share
	}
	return sum / share
}

// keep renders a trace, puts it into the folder and notes what its file is. Each
// file says that nobody measured it, and when and with what it was made, so that
// two checks in which nothing was counted are still two files.
func (p *player) keep(t *record.Trace, name string, at time.Time, counters ...string) {
	t.Notes = []record.Note{{Key: "data", Value: "simulated, not measured"},
		{Key: "at", Value: at.Format(time.RFC3339)},
		{Key: "counter", Value: strings.Join(slices.Compact(slices.Clone(counters)), ", ")}}
	data := Render(t)
	sum := sha256.Sum256(data)
	t.Name, t.SHA256, t.Bytes = name, hex.EncodeToString(sum[:]), int64(len(data))
	rinse(t)
	p.files[name] = data
}
