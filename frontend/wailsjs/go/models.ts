export namespace club {
	
	export class Fault {
	    id: string;
	    code: string;
	    label: string;
	    phase: string;
	    sides: string;
	    cue?: string;
	    weight: number;
	    key: string;
	    retired?: boolean;
	
	    static createFrom(source: any = {}) {
	        return new Fault(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.id = source["id"];
	        this.code = source["code"];
	        this.label = source["label"];
	        this.phase = source["phase"];
	        this.sides = source["sides"];
	        this.cue = source["cue"];
	        this.weight = source["weight"];
	        this.key = source["key"];
	        this.retired = source["retired"];
	    }
	}
	export class Drill {
	    id: string;
	    name: string;
	    method: string;
	    pattern: string;
	    placement: string;
	    ball: string;
	    rung: number;
	    streak: number;
	    note?: string;
	    retired?: boolean;
	
	    static createFrom(source: any = {}) {
	        return new Drill(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.id = source["id"];
	        this.name = source["name"];
	        this.method = source["method"];
	        this.pattern = source["pattern"];
	        this.placement = source["placement"];
	        this.ball = source["ball"];
	        this.rung = source["rung"];
	        this.streak = source["streak"];
	        this.note = source["note"];
	        this.retired = source["retired"];
	    }
	}
	export class Player {
	    id: string;
	    name: string;
	    alias?: string;
	    hand: string;
	    group?: string;
	    note?: string;
	    retired?: boolean;
	    consent_from?: string;
	    consent_until?: string;
	    consent_by?: string;
	    delete_after?: string;
	
	    static createFrom(source: any = {}) {
	        return new Player(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.id = source["id"];
	        this.name = source["name"];
	        this.alias = source["alias"];
	        this.hand = source["hand"];
	        this.group = source["group"];
	        this.note = source["note"];
	        this.retired = source["retired"];
	        this.consent_from = source["consent_from"];
	        this.consent_until = source["consent_until"];
	        this.consent_by = source["consent_by"];
	        this.delete_after = source["delete_after"];
	    }
	}
	export class Coach {
	    id: string;
	    name: string;
	    retired?: boolean;
	    reaction?: number;
	
	    static createFrom(source: any = {}) {
	        return new Coach(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.id = source["id"];
	        this.name = source["name"];
	        this.retired = source["retired"];
	        this.reaction = source["reaction"];
	    }
	}
	export class Catalogue {
	    coaches: Coach[];
	    players: Player[];
	    drills: Drill[];
	    faults: Fault[];
	
	    static createFrom(source: any = {}) {
	        return new Catalogue(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.coaches = this.convertValues(source["coaches"], Coach);
	        this.players = this.convertValues(source["players"], Player);
	        this.drills = this.convertValues(source["drills"], Drill);
	        this.faults = this.convertValues(source["faults"], Fault);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	
	
	
	export class Look {
	    id: string;
	    clip_id: string;
	    coach_id: string;
	    first: number;
	    last: number;
	    first_ticks: number;
	    last_ticks: number;
	    faults: string[];
	    // Go type: time
	    made: any;
	    assumed?: boolean;
	
	    static createFrom(source: any = {}) {
	        return new Look(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.id = source["id"];
	        this.clip_id = source["clip_id"];
	        this.coach_id = source["coach_id"];
	        this.first = source["first"];
	        this.last = source["last"];
	        this.first_ticks = source["first_ticks"];
	        this.last_ticks = source["last_ticks"];
	        this.faults = source["faults"];
	        this.made = this.convertValues(source["made"], null);
	        this.assumed = source["assumed"];
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Sign {
	    kind: string;
	    x1: number;
	    y1: number;
	    x2: number;
	    y2: number;
	
	    static createFrom(source: any = {}) {
	        return new Sign(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.kind = source["kind"];
	        this.x1 = source["x1"];
	        this.y1 = source["y1"];
	        this.x2 = source["x2"];
	        this.y2 = source["y2"];
	    }
	}
	export class Mark {
	    id: string;
	    clip_id: string;
	    fault_id: string;
	    coach_id: string;
	    frame: number;
	    ticks: number;
	    note?: string;
	    source: string;
	    confidence: number;
	    // Go type: time
	    made: any;
	    stroke_id?: string;
	    sign?: Sign;
	
	    static createFrom(source: any = {}) {
	        return new Mark(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.id = source["id"];
	        this.clip_id = source["clip_id"];
	        this.fault_id = source["fault_id"];
	        this.coach_id = source["coach_id"];
	        this.frame = source["frame"];
	        this.ticks = source["ticks"];
	        this.note = source["note"];
	        this.source = source["source"];
	        this.confidence = source["confidence"];
	        this.made = this.convertValues(source["made"], null);
	        this.stroke_id = source["stroke_id"];
	        this.sign = this.convertValues(source["sign"], Sign);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Moment {
	    frame: number;
	    ticks: number;
	
	    static createFrom(source: any = {}) {
	        return new Moment(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.frame = source["frame"];
	        this.ticks = source["ticks"];
	    }
	}
	
	export class RosterProblem {
	    line: number;
	    say: string;
	
	    static createFrom(source: any = {}) {
	        return new RosterProblem(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.line = source["line"];
	        this.say = source["say"];
	    }
	}
	export class Ruling {
	    id: string;
	    player_id: string;
	    drill_id: string;
	    coach_id: string;
	    date: string;
	    passed: boolean;
	    reason: string;
	
	    static createFrom(source: any = {}) {
	        return new Ruling(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.id = source["id"];
	        this.player_id = source["player_id"];
	        this.drill_id = source["drill_id"];
	        this.coach_id = source["coach_id"];
	        this.date = source["date"];
	        this.passed = source["passed"];
	        this.reason = source["reason"];
	    }
	}
	export class Session {
	    id: string;
	    date: string;
	    note?: string;
	
	    static createFrom(source: any = {}) {
	        return new Session(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.id = source["id"];
	        this.date = source["date"];
	        this.note = source["note"];
	    }
	}
	
	export class Stroke {
	    id: string;
	    clip_id: string;
	    frame: number;
	    ticks: number;
	    side?: string;
	    outcome: string;
	    source: string;
	    confidence: number;
	    coach_id: string;
	    ready?: Moment;
	    answer?: number;
	
	    static createFrom(source: any = {}) {
	        return new Stroke(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.id = source["id"];
	        this.clip_id = source["clip_id"];
	        this.frame = source["frame"];
	        this.ticks = source["ticks"];
	        this.side = source["side"];
	        this.outcome = source["outcome"];
	        this.source = source["source"];
	        this.confidence = source["confidence"];
	        this.coach_id = source["coach_id"];
	        this.ready = this.convertValues(source["ready"], Moment);
	        this.answer = source["answer"];
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Turn {
	    id: string;
	    clip_id: string;
	    player_id: string;
	    drill_id: string;
	    first: number;
	    last: number;
	    first_ticks: number;
	    last_ticks: number;
	    settled?: boolean;
	    anchor?: number;
	    heard_from?: number;
	
	    static createFrom(source: any = {}) {
	        return new Turn(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.id = source["id"];
	        this.clip_id = source["clip_id"];
	        this.player_id = source["player_id"];
	        this.drill_id = source["drill_id"];
	        this.first = source["first"];
	        this.last = source["last"];
	        this.first_ticks = source["first_ticks"];
	        this.last_ticks = source["last_ticks"];
	        this.settled = source["settled"];
	        this.anchor = source["anchor"];
	        this.heard_from = source["heard_from"];
	    }
	}

}

export namespace desk {
	
	export class Absent {
	    clip_id: string;
	    slow: boolean;
	
	    static createFrom(source: any = {}) {
	        return new Absent(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.clip_id = source["clip_id"];
	        this.slow = source["slow"];
	    }
	}
	export class Added {
	    path: string;
	    name: string;
	    clip_id: string;
	    say: string;
	
	    static createFrom(source: any = {}) {
	        return new Added(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.path = source["path"];
	        this.name = source["name"];
	        this.clip_id = source["clip_id"];
	        this.say = source["say"];
	    }
	}
	export class Alike {
	    path: string;
	    name: string;
	    moved: number;
	    most: number;
	    say: string;
	
	    static createFrom(source: any = {}) {
	        return new Alike(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.path = source["path"];
	        this.name = source["name"];
	        this.moved = source["moved"];
	        this.most = source["most"];
	        this.say = source["say"];
	    }
	}
	export class BenchLedger {
	    turns: club.Turn[];
	    strokes: club.Stroke[];
	    marks: club.Mark[];
	    looks: club.Look[];
	    hangs_on: Record<string, string>;
	
	    static createFrom(source: any = {}) {
	        return new BenchLedger(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.turns = this.convertValues(source["turns"], club.Turn);
	        this.strokes = this.convertValues(source["strokes"], club.Stroke);
	        this.marks = this.convertValues(source["marks"], club.Mark);
	        this.looks = this.convertValues(source["looks"], club.Look);
	        this.hangs_on = source["hangs_on"];
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Burst {
	    first: number;
	    last: number;
	    from: number;
	    to: number;
	    contacts: number;
	    strokes: number;
	    open: boolean;
	    after: number;
	    player_id: string;
	    drill_id: string;
	
	    static createFrom(source: any = {}) {
	        return new Burst(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.first = source["first"];
	        this.last = source["last"];
	        this.from = source["from"];
	        this.to = source["to"];
	        this.contacts = source["contacts"];
	        this.strokes = source["strokes"];
	        this.open = source["open"];
	        this.after = source["after"];
	        this.player_id = source["player_id"];
	        this.drill_id = source["drill_id"];
	    }
	}
	export class Bursts {
	    pause: number;
	    learned: number;
	    set: boolean;
	    sure: boolean;
	    short: boolean;
	    known: boolean;
	    order: string[];
	    bursts: Burst[];
	
	    static createFrom(source: any = {}) {
	        return new Bursts(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.pause = source["pause"];
	        this.learned = source["learned"];
	        this.set = source["set"];
	        this.sure = source["sure"];
	        this.short = source["short"];
	        this.known = source["known"];
	        this.order = source["order"];
	        this.bursts = this.convertValues(source["bursts"], Burst);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class ClipRow {
	    id: string;
	    session_id: string;
	    name: string;
	    path: string;
	    fingerprint: string;
	    bytes: number;
	    frames: number;
	    first_ticks: number;
	    base: timecode.Base;
	    seconds: number;
	    width: number;
	    height: number;
	    turns: number;
	    strokes: number;
	    marks: number;
	    unlooked: number;
	    missing: boolean;
	
	    static createFrom(source: any = {}) {
	        return new ClipRow(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.id = source["id"];
	        this.session_id = source["session_id"];
	        this.name = source["name"];
	        this.path = source["path"];
	        this.fingerprint = source["fingerprint"];
	        this.bytes = source["bytes"];
	        this.frames = source["frames"];
	        this.first_ticks = source["first_ticks"];
	        this.base = this.convertValues(source["base"], timecode.Base);
	        this.seconds = source["seconds"];
	        this.width = source["width"];
	        this.height = source["height"];
	        this.turns = source["turns"];
	        this.strokes = source["strokes"];
	        this.marks = source["marks"];
	        this.unlooked = source["unlooked"];
	        this.missing = source["missing"];
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Document {
	    path: string;
	    format: string;
	    made: string;
	    missing: boolean;
	    others: string[];
	
	    static createFrom(source: any = {}) {
	        return new Document(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.path = source["path"];
	        this.format = source["format"];
	        this.made = source["made"];
	        this.missing = source["missing"];
	        this.others = source["others"];
	    }
	}
	export class FarewellNote {
	    where: string;
	    text: string;
	    whole: boolean;
	    note: boolean;
	
	    static createFrom(source: any = {}) {
	        return new FarewellNote(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.where = source["where"];
	        this.text = source["text"];
	        this.whole = source["whole"];
	        this.note = source["note"];
	    }
	}
	export class FarewellClip {
	    id: string;
	    name: string;
	    path: string;
	    date: string;
	    missing: boolean;
	    turns: number;
	    others: string[];
	
	    static createFrom(source: any = {}) {
	        return new FarewellClip(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.id = source["id"];
	        this.name = source["name"];
	        this.path = source["path"];
	        this.date = source["date"];
	        this.missing = source["missing"];
	        this.turns = source["turns"];
	        this.others = source["others"];
	    }
	}
	export class Farewell {
	    player: club.Player;
	    turns: number;
	    strokes: number;
	    marks: number;
	    rulings: number;
	    steps: number;
	    copies: number;
	    clips: FarewellClip[];
	    notes: FarewellNote[];
	    documents: Document[];
	
	    static createFrom(source: any = {}) {
	        return new Farewell(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.player = this.convertValues(source["player"], club.Player);
	        this.turns = source["turns"];
	        this.strokes = source["strokes"];
	        this.marks = source["marks"];
	        this.rulings = source["rulings"];
	        this.steps = source["steps"];
	        this.copies = source["copies"];
	        this.clips = this.convertValues(source["clips"], FarewellClip);
	        this.notes = this.convertValues(source["notes"], FarewellNote);
	        this.documents = this.convertValues(source["documents"], Document);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	
	
	export class FaultCount {
	    fault_id: string;
	    code: string;
	    label: string;
	    marks: number;
	    x: number;
	    n: number;
	
	    static createFrom(source: any = {}) {
	        return new FaultCount(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.fault_id = source["fault_id"];
	        this.code = source["code"];
	        this.label = source["label"];
	        this.marks = source["marks"];
	        this.x = source["x"];
	        this.n = source["n"];
	    }
	}
	export class Fix {
	    do: string;
	    frame: number;
	    side: string;
	    outcome: string;
	    at: number;
	
	    static createFrom(source: any = {}) {
	        return new Fix(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.do = source["do"];
	        this.frame = source["frame"];
	        this.side = source["side"];
	        this.outcome = source["outcome"];
	        this.at = source["at"];
	    }
	}
	export class Forgetting {
	    player_id: string;
	    clips: string[];
	    films: boolean;
	    documents: string[];
	    notes: boolean;
	    keep_counts: boolean;
	
	    static createFrom(source: any = {}) {
	        return new Forgetting(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.player_id = source["player_id"];
	        this.clips = source["clips"];
	        this.films = source["films"];
	        this.documents = source["documents"];
	        this.notes = source["notes"];
	        this.keep_counts = source["keep_counts"];
	    }
	}
	export class Proposal {
	    frame: number;
	    seconds: number;
	    side: string;
	    outcome: string;
	    confidence: number;
	    answer?: number;
	
	    static createFrom(source: any = {}) {
	        return new Proposal(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.frame = source["frame"];
	        this.seconds = source["seconds"];
	        this.side = source["side"];
	        this.outcome = source["outcome"];
	        this.confidence = source["confidence"];
	        this.answer = source["answer"];
	    }
	}
	export class HeardTurn {
	    turn_id: string;
	    known: boolean;
	    player: string;
	    sure: boolean;
	    least: number;
	    strokes: Proposal[];
	
	    static createFrom(source: any = {}) {
	        return new HeardTurn(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.turn_id = source["turn_id"];
	        this.known = source["known"];
	        this.player = source["player"];
	        this.sure = source["sure"];
	        this.least = source["least"];
	        this.strokes = this.convertValues(source["strokes"], Proposal);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Hearing {
	    state: string;
	    done: number;
	    all: number;
	    say: string;
	
	    static createFrom(source: any = {}) {
	        return new Hearing(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.state = source["state"];
	        this.done = source["done"];
	        this.all = source["all"];
	        this.say = source["say"];
	    }
	}
	export class Kept {
	    path: string;
	    kind: string;
	    day: string;
	    clock: string;
	    bytes: number;
	
	    static createFrom(source: any = {}) {
	        return new Kept(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.path = source["path"];
	        this.kind = source["kind"];
	        this.day = source["day"];
	        this.clock = source["clock"];
	        this.bytes = source["bytes"];
	    }
	}
	export class Kind {
	    fault_id: string;
	    phase: string;
	    side: string;
	
	    static createFrom(source: any = {}) {
	        return new Kind(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.fault_id = source["fault_id"];
	        this.phase = source["phase"];
	        this.side = source["side"];
	    }
	}
	export class ListedClip {
	    id: string;
	    session_id: string;
	    name: string;
	    path: string;
	    fingerprint: string;
	    bytes: number;
	    frames: number;
	    first_ticks: number;
	    base: timecode.Base;
	    seconds: number;
	    width: number;
	    height: number;
	    turns: number;
	    strokes: number;
	    marks: number;
	    unlooked: number;
	
	    static createFrom(source: any = {}) {
	        return new ListedClip(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.id = source["id"];
	        this.session_id = source["session_id"];
	        this.name = source["name"];
	        this.path = source["path"];
	        this.fingerprint = source["fingerprint"];
	        this.bytes = source["bytes"];
	        this.frames = source["frames"];
	        this.first_ticks = source["first_ticks"];
	        this.base = this.convertValues(source["base"], timecode.Base);
	        this.seconds = source["seconds"];
	        this.width = source["width"];
	        this.height = source["height"];
	        this.turns = source["turns"];
	        this.strokes = source["strokes"];
	        this.marks = source["marks"];
	        this.unlooked = source["unlooked"];
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class MarkRow {
	    id: string;
	    clip_id: string;
	    clip_name: string;
	    date: string;
	    frame: number;
	    seconds: number;
	    fault_code: string;
	    fault_label: string;
	    player: string;
	    player_id: string;
	    drill: string;
	    note: string;
	    coach: string;
	    sign?: club.Sign;
	
	    static createFrom(source: any = {}) {
	        return new MarkRow(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.id = source["id"];
	        this.clip_id = source["clip_id"];
	        this.clip_name = source["clip_name"];
	        this.date = source["date"];
	        this.frame = source["frame"];
	        this.seconds = source["seconds"];
	        this.fault_code = source["fault_code"];
	        this.fault_label = source["fault_label"];
	        this.player = source["player"];
	        this.player_id = source["player_id"];
	        this.drill = source["drill"];
	        this.note = source["note"];
	        this.coach = source["coach"];
	        this.sign = this.convertValues(source["sign"], club.Sign);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class NewTurn {
	    first: number;
	    last: number;
	    player_id: string;
	    drill_id: string;
	
	    static createFrom(source: any = {}) {
	        return new NewTurn(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.first = source["first"];
	        this.last = source["last"];
	        this.player_id = source["player_id"];
	        this.drill_id = source["drill_id"];
	    }
	}
	export class RungLine {
	    drill_id: string;
	    target: number;
	    passed: boolean;
	    passed_on: string;
	    by: string;
	    best: number;
	    tries: number;
	
	    static createFrom(source: any = {}) {
	        return new RungLine(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.drill_id = source["drill_id"];
	        this.target = source["target"];
	        this.passed = source["passed"];
	        this.passed_on = source["passed_on"];
	        this.by = source["by"];
	        this.best = source["best"];
	        this.tries = source["tries"];
	    }
	}
	export class PlayerLine {
	    player_id: string;
	    name: string;
	    turns: number;
	    unlooked: number;
	    strokes: number;
	    good: number;
	    longest: number;
	    target: number;
	    most?: FaultCount;
	    work_on: string[];
	    passed: number;
	    of: number;
	    next: string;
	    rungs: RungLine[];
	
	    static createFrom(source: any = {}) {
	        return new PlayerLine(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.player_id = source["player_id"];
	        this.name = source["name"];
	        this.turns = source["turns"];
	        this.unlooked = source["unlooked"];
	        this.strokes = source["strokes"];
	        this.good = source["good"];
	        this.longest = source["longest"];
	        this.target = source["target"];
	        this.most = this.convertValues(source["most"], FaultCount);
	        this.work_on = source["work_on"];
	        this.passed = source["passed"];
	        this.of = source["of"];
	        this.next = source["next"];
	        this.rungs = this.convertValues(source["rungs"], RungLine);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Overview {
	    from: string;
	    to: string;
	    split: string;
	    team: tally.Sheet;
	    players: PlayerLine[];
	    days: string[];
	    tested: tally.Tested;
	
	    static createFrom(source: any = {}) {
	        return new Overview(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.from = source["from"];
	        this.to = source["to"];
	        this.split = source["split"];
	        this.team = this.convertValues(source["team"], tally.Sheet);
	        this.players = this.convertValues(source["players"], PlayerLine);
	        this.days = source["days"];
	        this.tested = this.convertValues(source["tested"], tally.Tested);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Page {
	    up_to: string;
	    count: number;
	    clip: string;
	
	    static createFrom(source: any = {}) {
	        return new Page(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.up_to = source["up_to"];
	        this.count = source["count"];
	        this.clip = source["clip"];
	    }
	}
	export class PassOffer {
	    fault_id: string;
	    say: string;
	
	    static createFrom(source: any = {}) {
	        return new PassOffer(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.fault_id = source["fault_id"];
	        this.say = source["say"];
	    }
	}
	export class PassStroke {
	    id: string;
	    frame: number;
	    from: number;
	    to: number;
	    side: string;
	    set: string;
	    outcome: string;
	    earliest: number[];
	    latest: number[];
	    offers: PassOffer[];
	
	    static createFrom(source: any = {}) {
	        return new PassStroke(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.id = source["id"];
	        this.frame = source["frame"];
	        this.from = source["from"];
	        this.to = source["to"];
	        this.side = source["side"];
	        this.set = source["set"];
	        this.outcome = source["outcome"];
	        this.earliest = source["earliest"];
	        this.latest = source["latest"];
	        this.offers = this.convertValues(source["offers"], PassOffer);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class PassTurn {
	    turn_id: string;
	    clip_id: string;
	    player_id: string;
	    drill_id: string;
	    date: string;
	    first: number;
	    last: number;
	    strokes: PassStroke[];
	    heard: number;
	    waiting: boolean;
	    looked: boolean;
	    reaction: number;
	
	    static createFrom(source: any = {}) {
	        return new PassTurn(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.turn_id = source["turn_id"];
	        this.clip_id = source["clip_id"];
	        this.player_id = source["player_id"];
	        this.drill_id = source["drill_id"];
	        this.date = source["date"];
	        this.first = source["first"];
	        this.last = source["last"];
	        this.strokes = this.convertValues(source["strokes"], PassStroke);
	        this.heard = source["heard"];
	        this.waiting = source["waiting"];
	        this.looked = source["looked"];
	        this.reaction = source["reaction"];
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class PassWish {
	    before: number;
	    after: number;
	    rate: number;
	    loops: number;
	    run_on: boolean;
	    sound: boolean;
	    focus: string[];
	
	    static createFrom(source: any = {}) {
	        return new PassWish(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.before = source["before"];
	        this.after = source["after"];
	        this.rate = source["rate"];
	        this.loops = source["loops"];
	        this.run_on = source["run_on"];
	        this.sound = source["sound"];
	        this.focus = source["focus"];
	    }
	}
	export class PlayedMark {
	    mark: club.Mark;
	    other: string;
	
	    static createFrom(source: any = {}) {
	        return new PlayedMark(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.mark = this.convertValues(source["mark"], club.Mark);
	        this.other = source["other"];
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	
	
	export class Query {
	    players: string[];
	    drills: string[];
	    methods: string[];
	    from: string;
	    to: string;
	    split: string;
	    names: boolean;
	    unconsented: boolean;
	
	    static createFrom(source: any = {}) {
	        return new Query(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.players = source["players"];
	        this.drills = source["drills"];
	        this.methods = source["methods"];
	        this.from = source["from"];
	        this.to = source["to"];
	        this.split = source["split"];
	        this.names = source["names"];
	        this.unconsented = source["unconsented"];
	    }
	}
	export class ReelDone {
	    path: string;
	    pieces: number;
	    seconds: number;
	    say: string;
	
	    static createFrom(source: any = {}) {
	        return new ReelDone(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.path = source["path"];
	        this.pieces = source["pieces"];
	        this.seconds = source["seconds"];
	        this.say = source["say"];
	    }
	}
	export class ReelQuery {
	    player: string;
	    fault: string;
	    good: boolean;
	    from: string;
	    to: string;
	    names: boolean;
	    silent: boolean;
	    unconsented: boolean;
	    most: number;
	    lead: number;
	    follow: number;
	    slow: number;
	
	    static createFrom(source: any = {}) {
	        return new ReelQuery(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.player = source["player"];
	        this.fault = source["fault"];
	        this.good = source["good"];
	        this.from = source["from"];
	        this.to = source["to"];
	        this.names = source["names"];
	        this.silent = source["silent"];
	        this.unconsented = source["unconsented"];
	        this.most = source["most"];
	        this.lead = source["lead"];
	        this.follow = source["follow"];
	        this.slow = source["slow"];
	    }
	}
	export class Relinked {
	    clip: ClipRow;
	    alike?: Alike;
	
	    static createFrom(source: any = {}) {
	        return new Relinked(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.clip = this.convertValues(source["clip"], ClipRow);
	        this.alike = this.convertValues(source["alike"], Alike);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Reminder {
	    player_id: string;
	    name: string;
	    kind: string;
	    clips: number;
	    say: string;
	
	    static createFrom(source: any = {}) {
	        return new Reminder(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.player_id = source["player_id"];
	        this.name = source["name"];
	        this.kind = source["kind"];
	        this.clips = source["clips"];
	        this.say = source["say"];
	    }
	}
	export class Roster {
	    added: number;
	    skipped: number;
	    rows: club.RosterProblem[];
	
	    static createFrom(source: any = {}) {
	        return new Roster(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.added = source["added"];
	        this.skipped = source["skipped"];
	        this.rows = this.convertValues(source["rows"], club.RosterProblem);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	
	export class SessionRow {
	    id: string;
	    date: string;
	    note?: string;
	    clips: ListedClip[];
	    removed: number;
	
	    static createFrom(source: any = {}) {
	        return new SessionRow(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.id = source["id"];
	        this.date = source["date"];
	        this.note = source["note"];
	        this.clips = this.convertValues(source["clips"], ListedClip);
	        this.removed = source["removed"];
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class SessionPage {
	    sessions: SessionRow[];
	    up_to: string;
	    earlier: number;
	    total: number;
	    first: string;
	
	    static createFrom(source: any = {}) {
	        return new SessionPage(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.sessions = this.convertValues(source["sessions"], SessionRow);
	        this.up_to = source["up_to"];
	        this.earlier = source["earlier"];
	        this.total = source["total"];
	        this.first = source["first"];
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	
	export class State {
	    dir: string;
	    name: string;
	    read_only: boolean;
	    warning: string;
	    coach_id: string;
	    undo: string;
	    redo: string;
	    demo: boolean;
	    nameless: boolean;
	
	    static createFrom(source: any = {}) {
	        return new State(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.dir = source["dir"];
	        this.name = source["name"];
	        this.read_only = source["read_only"];
	        this.warning = source["warning"];
	        this.coach_id = source["coach_id"];
	        this.undo = source["undo"];
	        this.redo = source["redo"];
	        this.demo = source["demo"];
	        this.nameless = source["nameless"];
	    }
	}
	export class TableForm {
	    which: string;
	    semicolon: boolean;
	    no_mark: boolean;
	
	    static createFrom(source: any = {}) {
	        return new TableForm(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.which = source["which"];
	        this.semicolon = source["semicolon"];
	        this.no_mark = source["no_mark"];
	    }
	}
	export class ToDoRow {
	    date: string;
	    clip_id: string;
	    clip_name: string;
	    turn_id: string;
	    player_id: string;
	    drill_id: string;
	    first: number;
	    last: number;
	    seconds: number;
	    strokes: number;
	    unlooked: boolean;
	    missing: string[];
	    unsettled: boolean;
	    mine: boolean;
	
	    static createFrom(source: any = {}) {
	        return new ToDoRow(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.date = source["date"];
	        this.clip_id = source["clip_id"];
	        this.clip_name = source["clip_name"];
	        this.turn_id = source["turn_id"];
	        this.player_id = source["player_id"];
	        this.drill_id = source["drill_id"];
	        this.first = source["first"];
	        this.last = source["last"];
	        this.seconds = source["seconds"];
	        this.strokes = source["strokes"];
	        this.unlooked = source["unlooked"];
	        this.missing = source["missing"];
	        this.unsettled = source["unsettled"];
	        this.mine = source["mine"];
	    }
	}
	export class ToDo {
	    rows: ToDoRow[];
	    turns: number;
	    unlooked: number;
	    partly: number;
	    unsettled: number;
	    clips: number;
	
	    static createFrom(source: any = {}) {
	        return new ToDo(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.rows = this.convertValues(source["rows"], ToDoRow);
	        this.turns = source["turns"];
	        this.unlooked = source["unlooked"];
	        this.partly = source["partly"];
	        this.unsettled = source["unsettled"];
	        this.clips = source["clips"];
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class ToDoQuery {
	    player_id: string;
	    fault_id: string;
	    coach_id: string;
	    from: string;
	    to: string;
	    most: number;
	
	    static createFrom(source: any = {}) {
	        return new ToDoQuery(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.player_id = source["player_id"];
	        this.fault_id = source["fault_id"];
	        this.coach_id = source["coach_id"];
	        this.from = source["from"];
	        this.to = source["to"];
	        this.most = source["most"];
	    }
	}
	
	export class TurnsAsked {
	    session_id: string;
	    clip_id: string;
	    player_id: string;
	    marks: string[];
	
	    static createFrom(source: any = {}) {
	        return new TurnsAsked(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.session_id = source["session_id"];
	        this.clip_id = source["clip_id"];
	        this.player_id = source["player_id"];
	        this.marks = source["marks"];
	    }
	}
	export class UnlookedTurn {
	    turn_id: string;
	    clip_id: string;
	    clip_name: string;
	    date: string;
	    frame: number;
	    seconds: number;
	    length: number;
	    player: string;
	    player_id: string;
	    drill: string;
	    strokes: number;
	    nobody: boolean;
	    faults: string[];
	
	    static createFrom(source: any = {}) {
	        return new UnlookedTurn(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.turn_id = source["turn_id"];
	        this.clip_id = source["clip_id"];
	        this.clip_name = source["clip_name"];
	        this.date = source["date"];
	        this.frame = source["frame"];
	        this.seconds = source["seconds"];
	        this.length = source["length"];
	        this.player = source["player"];
	        this.player_id = source["player_id"];
	        this.drill = source["drill"];
	        this.strokes = source["strokes"];
	        this.nobody = source["nobody"];
	        this.faults = source["faults"];
	    }
	}
	export class Unlooked {
	    total: number;
	    turns: UnlookedTurn[];
	
	    static createFrom(source: any = {}) {
	        return new Unlooked(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.total = source["total"];
	        this.turns = this.convertValues(source["turns"], UnlookedTurn);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	
	export class Wishes {
	    tries_cap: number;
	    irregular: number;
	
	    static createFrom(source: any = {}) {
	        return new Wishes(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.tries_cap = source["tries_cap"];
	        this.irregular = source["irregular"];
	    }
	}

}

export namespace main {
	
	export class Part {
	    name: string;
	    shown: boolean;
	
	    static createFrom(source: any = {}) {
	        return new Part(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.name = source["name"];
	        this.shown = source["shown"];
	    }
	}
	export class BenchClip {
	    clip: desk.ClipRow;
	    width: number;
	    height: number;
	    frames: number;
	    complete: boolean;
	    base: timecode.Base;
	    sound: boolean;
	    notices: string[];
	    interlaced: boolean;
	    slowness: number;
	    seconds: number;
	    videos: Part[];
	    sounds: Part[];
	
	    static createFrom(source: any = {}) {
	        return new BenchClip(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.clip = this.convertValues(source["clip"], desk.ClipRow);
	        this.width = source["width"];
	        this.height = source["height"];
	        this.frames = source["frames"];
	        this.complete = source["complete"];
	        this.base = this.convertValues(source["base"], timecode.Base);
	        this.sound = source["sound"];
	        this.notices = source["notices"];
	        this.interlaced = source["interlaced"];
	        this.slowness = source["slowness"];
	        this.seconds = source["seconds"];
	        this.videos = this.convertValues(source["videos"], Part);
	        this.sounds = this.convertValues(source["sounds"], Part);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Change {
	    label: string;
	    clips: string[];
	    catalogue: boolean;
	    frame: number;
	    undo: string;
	    redo: string;
	
	    static createFrom(source: any = {}) {
	        return new Change(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.label = source["label"];
	        this.clips = source["clips"];
	        this.catalogue = source["catalogue"];
	        this.frame = source["frame"];
	        this.undo = source["undo"];
	        this.redo = source["redo"];
	    }
	}
	export class Findings {
	    ledger: string[];
	    files: string[];
	
	    static createFrom(source: any = {}) {
	        return new Findings(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.ledger = source["ledger"];
	        this.files = source["files"];
	    }
	}
	
	export class Shelter {
	    dir: string;
	    damaged: boolean;
	    backups: desk.Kept[];
	
	    static createFrom(source: any = {}) {
	        return new Shelter(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.dir = source["dir"];
	        this.damaged = source["damaged"];
	        this.backups = this.convertValues(source["backups"], desk.Kept);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}

}

export namespace tally {
	
	export class DrillHint {
	    drill_id: string;
	    name: string;
	    method: string;
	    rung: number;
	
	    static createFrom(source: any = {}) {
	        return new DrillHint(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.drill_id = source["drill_id"];
	        this.name = source["name"];
	        this.method = source["method"];
	        this.rung = source["rung"];
	    }
	}
	export class Advice {
	    fault_id: string;
	    code: string;
	    label: string;
	    phase: string;
	    weight: number;
	    cue: string;
	    where: string;
	    excess: number;
	    trend: string;
	    score: number;
	    why: string;
	    say: string;
	    drills: DrillHint[];
	
	    static createFrom(source: any = {}) {
	        return new Advice(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.fault_id = source["fault_id"];
	        this.code = source["code"];
	        this.label = source["label"];
	        this.phase = source["phase"];
	        this.weight = source["weight"];
	        this.cue = source["cue"];
	        this.where = source["where"];
	        this.excess = source["excess"];
	        this.trend = source["trend"];
	        this.score = source["score"];
	        this.why = source["why"];
	        this.say = source["say"];
	        this.drills = this.convertValues(source["drills"], DrillHint);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Share {
	    x: number;
	    n: number;
	    rate: number;
	    low: number;
	    high: number;
	    turns: number;
	    by: string;
	
	    static createFrom(source: any = {}) {
	        return new Share(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.x = source["x"];
	        this.n = source["n"];
	        this.rate = source["rate"];
	        this.low = source["low"];
	        this.high = source["high"];
	        this.turns = source["turns"];
	        this.by = source["by"];
	    }
	}
	export class Balance {
	    regular: number;
	    irregular: number;
	    free: number;
	    share?: Share;
	    wish: number;
	    say: string;
	
	    static createFrom(source: any = {}) {
	        return new Balance(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.regular = source["regular"];
	        this.irregular = source["irregular"];
	        this.free = source["free"];
	        this.share = this.convertValues(source["share"], Share);
	        this.wish = source["wish"];
	        this.say = source["say"];
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Bead {
	    frame: number;
	    side: string;
	    outcome: string;
	    faults: string[];
	
	    static createFrom(source: any = {}) {
	        return new Bead(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.frame = source["frame"];
	        this.side = source["side"];
	        this.outcome = source["outcome"];
	        this.faults = source["faults"];
	    }
	}
	export class BeadRow {
	    turn_id: string;
	    clip_id: string;
	    drill_id: string;
	    date: string;
	    frame: number;
	    target: number;
	    longest: number;
	    current: number;
	    beads: Bead[];
	
	    static createFrom(source: any = {}) {
	        return new BeadRow(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.turn_id = source["turn_id"];
	        this.clip_id = source["clip_id"];
	        this.drill_id = source["drill_id"];
	        this.date = source["date"];
	        this.frame = source["frame"];
	        this.target = source["target"];
	        this.longest = source["longest"];
	        this.current = source["current"];
	        this.beads = this.convertValues(source["beads"], Bead);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Chance {
	    good: number;
	    strokes: number;
	    target: number;
	    turn: number;
	    clean: number;
	    in_turn: number;
	    clean_plain: number;
	    say: string;
	
	    static createFrom(source: any = {}) {
	        return new Chance(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.good = source["good"];
	        this.strokes = source["strokes"];
	        this.target = source["target"];
	        this.turn = source["turn"];
	        this.clean = source["clean"];
	        this.in_turn = source["in_turn"];
	        this.clean_plain = source["clean_plain"];
	        this.say = source["say"];
	    }
	}
	export class Test {
	    p: number;
	    adjusted: number;
	    survives: boolean;
	
	    static createFrom(source: any = {}) {
	        return new Test(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.p = source["p"];
	        this.adjusted = source["adjusted"];
	        this.survives = source["survives"];
	    }
	}
	export class Pace {
	    x: number;
	    minutes: number;
	    rate: number;
	    low: number;
	    high: number;
	
	    static createFrom(source: any = {}) {
	        return new Pace(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.x = source["x"];
	        this.minutes = source["minutes"];
	        this.rate = source["rate"];
	        this.low = source["low"];
	        this.high = source["high"];
	    }
	}
	export class MinutePair {
	    first: Pace;
	    second: Pace;
	    ratio?: number;
	    low: number;
	    high?: number;
	
	    static createFrom(source: any = {}) {
	        return new MinutePair(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.first = this.convertValues(source["first"], Pace);
	        this.second = this.convertValues(source["second"], Pace);
	        this.ratio = source["ratio"];
	        this.low = source["low"];
	        this.high = source["high"];
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class StrokePair {
	    first: Share;
	    second: Share;
	    difference: number;
	    low: number;
	    high: number;
	
	    static createFrom(source: any = {}) {
	        return new StrokePair(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.first = this.convertValues(source["first"], Share);
	        this.second = this.convertValues(source["second"], Share);
	        this.difference = source["difference"];
	        this.low = source["low"];
	        this.high = source["high"];
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Comparison {
	    kind: string;
	    first: string;
	    second: string;
	    fault_id: string;
	    code: string;
	    label: string;
	    strokes?: StrokePair;
	    minutes?: MinutePair;
	    test?: Test;
	
	    static createFrom(source: any = {}) {
	        return new Comparison(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.kind = source["kind"];
	        this.first = source["first"];
	        this.second = source["second"];
	        this.fault_id = source["fault_id"];
	        this.code = source["code"];
	        this.label = source["label"];
	        this.strokes = this.convertValues(source["strokes"], StrokePair);
	        this.minutes = this.convertValues(source["minutes"], MinutePair);
	        this.test = this.convertValues(source["test"], Test);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Contrast {
	    fault_id: string;
	    code: string;
	    label: string;
	    regular: Share;
	    irregular: Share;
	    difference: number;
	    low: number;
	    high: number;
	
	    static createFrom(source: any = {}) {
	        return new Contrast(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.fault_id = source["fault_id"];
	        this.code = source["code"];
	        this.label = source["label"];
	        this.regular = this.convertValues(source["regular"], Share);
	        this.irregular = this.convertValues(source["irregular"], Share);
	        this.difference = source["difference"];
	        this.low = source["low"];
	        this.high = source["high"];
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	
	export class Expected {
	    rate: number;
	    low: number;
	    high: number;
	    club: number;
	    excess: number;
	
	    static createFrom(source: any = {}) {
	        return new Expected(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.rate = source["rate"];
	        this.low = source["low"];
	        this.high = source["high"];
	        this.club = source["club"];
	        this.excess = source["excess"];
	    }
	}
	export class Slope {
	    per_month: number;
	    low: number;
	    high: number;
	
	    static createFrom(source: any = {}) {
	        return new Slope(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.per_month = source["per_month"];
	        this.low = source["low"];
	        this.high = source["high"];
	    }
	}
	export class Trend {
	    sessions: number;
	    direction: string;
	    slope?: Slope;
	    z: number;
	    test?: Test;
	    effect: number;
	    say: string;
	
	    static createFrom(source: any = {}) {
	        return new Trend(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.sessions = source["sessions"];
	        this.direction = source["direction"];
	        this.slope = this.convertValues(source["slope"], Slope);
	        this.z = source["z"];
	        this.test = this.convertValues(source["test"], Test);
	        this.effect = source["effect"];
	        this.say = source["say"];
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class FaultLine {
	    fault_id: string;
	    code: string;
	    label: string;
	    phase: string;
	    weight: number;
	    cue: string;
	    retired: boolean;
	    marks: number;
	    unplaced: number;
	    unlooked: number;
	    per_stroke?: Share;
	    per_minute?: Pace;
	    unlooked_turns: number;
	    unlooked_strokes: number;
	    say: string;
	    mark_ids: string[];
	    expected?: Expected;
	    trend?: Trend;
	
	    static createFrom(source: any = {}) {
	        return new FaultLine(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.fault_id = source["fault_id"];
	        this.code = source["code"];
	        this.label = source["label"];
	        this.phase = source["phase"];
	        this.weight = source["weight"];
	        this.cue = source["cue"];
	        this.retired = source["retired"];
	        this.marks = source["marks"];
	        this.unplaced = source["unplaced"];
	        this.unlooked = source["unlooked"];
	        this.per_stroke = this.convertValues(source["per_stroke"], Share);
	        this.per_minute = this.convertValues(source["per_minute"], Pace);
	        this.unlooked_turns = source["unlooked_turns"];
	        this.unlooked_strokes = source["unlooked_strokes"];
	        this.say = source["say"];
	        this.mark_ids = source["mark_ids"];
	        this.expected = this.convertValues(source["expected"], Expected);
	        this.trend = this.convertValues(source["trend"], Trend);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Fit {
	    players: number;
	    mean: number;
	    strength: number;
	    how: string;
	
	    static createFrom(source: any = {}) {
	        return new Fit(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.players = source["players"];
	        this.mean = source["mean"];
	        this.strength = source["strength"];
	        this.how = source["how"];
	    }
	}
	export class Tempo {
	    turns: number;
	    median: number;
	    lower: number;
	    upper: number;
	    spread: number;
	
	    static createFrom(source: any = {}) {
	        return new Tempo(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.turns = source["turns"];
	        this.median = source["median"];
	        this.lower = source["lower"];
	        this.upper = source["upper"];
	        this.spread = source["spread"];
	    }
	}
	export class Late {
	    clip_id: string;
	    turn_id: string;
	    stroke_id: string;
	    frame: number;
	    ready_frame: number;
	    ready_ticks: number;
	    margin: number;
	    marked: boolean;
	
	    static createFrom(source: any = {}) {
	        return new Late(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.clip_id = source["clip_id"];
	        this.turn_id = source["turn_id"];
	        this.stroke_id = source["stroke_id"];
	        this.frame = source["frame"];
	        this.ready_frame = source["ready_frame"];
	        this.ready_ticks = source["ready_ticks"];
	        this.margin = source["margin"];
	        this.marked = source["marked"];
	    }
	}
	export class Readiness {
	    strokes: number;
	    median: number;
	    lower: number;
	    upper: number;
	    late: Share;
	    late_strokes: Late[];
	
	    static createFrom(source: any = {}) {
	        return new Readiness(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.strokes = source["strokes"];
	        this.median = source["median"];
	        this.lower = source["lower"];
	        this.upper = source["upper"];
	        this.late = this.convertValues(source["late"], Share);
	        this.late_strokes = this.convertValues(source["late_strokes"], Late);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Streak {
	    longest: number;
	    current: number;
	    target: number;
	    reached: boolean;
	    turn_id: string;
	    clip_id: string;
	    frame: number;
	
	    static createFrom(source: any = {}) {
	        return new Streak(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.longest = source["longest"];
	        this.current = source["current"];
	        this.target = source["target"];
	        this.reached = source["reached"];
	        this.turn_id = source["turn_id"];
	        this.clip_id = source["clip_id"];
	        this.frame = source["frame"];
	    }
	}
	export class Looked {
	    turns: number;
	    strokes: number;
	    some_turns: number;
	    some_strokes: number;
	    no_turns: number;
	    no_strokes: number;
	    twice_turns: number;
	    assumed_turns: number;
	    say: string;
	    left: string;
	
	    static createFrom(source: any = {}) {
	        return new Looked(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.turns = source["turns"];
	        this.strokes = source["strokes"];
	        this.some_turns = source["some_turns"];
	        this.some_strokes = source["some_strokes"];
	        this.no_turns = source["no_turns"];
	        this.no_strokes = source["no_strokes"];
	        this.twice_turns = source["twice_turns"];
	        this.assumed_turns = source["assumed_turns"];
	        this.say = source["say"];
	        this.left = source["left"];
	    }
	}
	export class Group {
	    kind: string;
	    drill_id: string;
	    name: string;
	    method: string;
	    rung: number;
	    sessions: number;
	    first_date: string;
	    last_date: string;
	    turns: number;
	    seconds: number;
	    strokes: number;
	    good: number;
	    unlogged_turns: number;
	    unlogged_seconds: number;
	    looked: Looked;
	    streak: Streak;
	    readiness?: Readiness;
	    tempo?: Tempo;
	    faults: FaultLine[];
	
	    static createFrom(source: any = {}) {
	        return new Group(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.kind = source["kind"];
	        this.drill_id = source["drill_id"];
	        this.name = source["name"];
	        this.method = source["method"];
	        this.rung = source["rung"];
	        this.sessions = source["sessions"];
	        this.first_date = source["first_date"];
	        this.last_date = source["last_date"];
	        this.turns = source["turns"];
	        this.seconds = source["seconds"];
	        this.strokes = source["strokes"];
	        this.good = source["good"];
	        this.unlogged_turns = source["unlogged_turns"];
	        this.unlogged_seconds = source["unlogged_seconds"];
	        this.looked = this.convertValues(source["looked"], Looked);
	        this.streak = this.convertValues(source["streak"], Streak);
	        this.readiness = this.convertValues(source["readiness"], Readiness);
	        this.tempo = this.convertValues(source["tempo"], Tempo);
	        this.faults = this.convertValues(source["faults"], FaultLine);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Try {
	    date: string;
	    turn_id: string;
	    clip_id: string;
	    frame: number;
	    strokes: number;
	    longest: number;
	    current: number;
	    reached: boolean;
	
	    static createFrom(source: any = {}) {
	        return new Try(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.date = source["date"];
	        this.turn_id = source["turn_id"];
	        this.clip_id = source["clip_id"];
	        this.frame = source["frame"];
	        this.strokes = source["strokes"];
	        this.longest = source["longest"];
	        this.current = source["current"];
	        this.reached = source["reached"];
	    }
	}
	export class Rung {
	    drill_id: string;
	    name: string;
	    method: string;
	    rung: number;
	    target: number;
	    retired: boolean;
	    passed: boolean;
	    passed_on: string;
	    by: string;
	    coach_id: string;
	    reason: string;
	    turn_id: string;
	    clip_id: string;
	    frame: number;
	    tries: number;
	    tries_today: number;
	    enough: boolean;
	    say: string;
	    best: number;
	    strokes: number;
	    good: number;
	    history: Try[];
	    chance?: Chance;
	
	    static createFrom(source: any = {}) {
	        return new Rung(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.drill_id = source["drill_id"];
	        this.name = source["name"];
	        this.method = source["method"];
	        this.rung = source["rung"];
	        this.target = source["target"];
	        this.retired = source["retired"];
	        this.passed = source["passed"];
	        this.passed_on = source["passed_on"];
	        this.by = source["by"];
	        this.coach_id = source["coach_id"];
	        this.reason = source["reason"];
	        this.turn_id = source["turn_id"];
	        this.clip_id = source["clip_id"];
	        this.frame = source["frame"];
	        this.tries = source["tries"];
	        this.tries_today = source["tries_today"];
	        this.enough = source["enough"];
	        this.say = source["say"];
	        this.best = source["best"];
	        this.strokes = source["strokes"];
	        this.good = source["good"];
	        this.history = this.convertValues(source["history"], Try);
	        this.chance = this.convertValues(source["chance"], Chance);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Ladder {
	    rungs: Rung[];
	    next: string;
	    passed: number;
	    of: number;
	    assume: string;
	    tries_cap: number;
	
	    static createFrom(source: any = {}) {
	        return new Ladder(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.rungs = this.convertValues(source["rungs"], Rung);
	        this.next = source["next"];
	        this.passed = source["passed"];
	        this.of = source["of"];
	        this.assume = source["assume"];
	        this.tries_cap = source["tries_cap"];
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	
	
	
	
	export class PhaseCount {
	    phase: string;
	    seen: number;
	    of: number;
	    marks: number;
	
	    static createFrom(source: any = {}) {
	        return new PhaseCount(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.phase = source["phase"];
	        this.seen = source["seen"];
	        this.of = source["of"];
	        this.marks = source["marks"];
	    }
	}
	export class Ranked {
	    player_id: string;
	    x: number;
	    n: number;
	    expected: Expected;
	
	    static createFrom(source: any = {}) {
	        return new Ranked(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.player_id = source["player_id"];
	        this.x = source["x"];
	        this.n = source["n"];
	        this.expected = this.convertValues(source["expected"], Expected);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Ranking {
	    fault_id: string;
	    code: string;
	    label: string;
	    per_minute: boolean;
	    fit: Fit;
	    players: Ranked[];
	
	    static createFrom(source: any = {}) {
	        return new Ranking(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.fault_id = source["fault_id"];
	        this.code = source["code"];
	        this.label = source["label"];
	        this.per_minute = source["per_minute"];
	        this.fit = this.convertValues(source["fit"], Fit);
	        this.players = this.convertValues(source["players"], Ranked);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	
	
	export class SessionFault {
	    fault_id: string;
	    per_stroke?: Share;
	    per_minute?: Pace;
	
	    static createFrom(source: any = {}) {
	        return new SessionFault(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.fault_id = source["fault_id"];
	        this.per_stroke = this.convertValues(source["per_stroke"], Share);
	        this.per_minute = this.convertValues(source["per_minute"], Pace);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Session {
	    date: string;
	    turns: number;
	    strokes: number;
	    good: number;
	    longest: number;
	    minutes: number;
	    faults: SessionFault[];
	
	    static createFrom(source: any = {}) {
	        return new Session(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.date = source["date"];
	        this.turns = source["turns"];
	        this.strokes = source["strokes"];
	        this.good = source["good"];
	        this.longest = source["longest"];
	        this.minutes = source["minutes"];
	        this.faults = this.convertValues(source["faults"], SessionFault);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	
	
	export class WorkOn {
	    faults: Advice[];
	    holds: boolean;
	    move_up: DrillHint[];
	    say: string;
	    cautions: string[];
	
	    static createFrom(source: any = {}) {
	        return new WorkOn(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.faults = this.convertValues(source["faults"], Advice);
	        this.holds = source["holds"];
	        this.move_up = this.convertValues(source["move_up"], DrillHint);
	        this.say = source["say"];
	        this.cautions = source["cautions"];
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	export class Sheet {
	    player_id: string;
	    name: string;
	    alias: string;
	    all: Group;
	    methods: Group[];
	    drills: Group[];
	    contrasts: Contrast[];
	    comparisons: Comparison[];
	    phases: PhaseCount[];
	    sessions: Session[];
	    balance: Balance;
	    ladder?: Ladder;
	    work_on?: WorkOn;
	    best?: BeadRow;
	    latest?: BeadRow;
	
	    static createFrom(source: any = {}) {
	        return new Sheet(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.player_id = source["player_id"];
	        this.name = source["name"];
	        this.alias = source["alias"];
	        this.all = this.convertValues(source["all"], Group);
	        this.methods = this.convertValues(source["methods"], Group);
	        this.drills = this.convertValues(source["drills"], Group);
	        this.contrasts = this.convertValues(source["contrasts"], Contrast);
	        this.comparisons = this.convertValues(source["comparisons"], Comparison);
	        this.phases = this.convertValues(source["phases"], PhaseCount);
	        this.sessions = this.convertValues(source["sessions"], Session);
	        this.balance = this.convertValues(source["balance"], Balance);
	        this.ladder = this.convertValues(source["ladder"], Ladder);
	        this.work_on = this.convertValues(source["work_on"], WorkOn);
	        this.best = this.convertValues(source["best"], BeadRow);
	        this.latest = this.convertValues(source["latest"], BeadRow);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	
	
	
	export class Tested {
	    tests: number;
	    surviving: number;
	    level: number;
	    over: string;
	
	    static createFrom(source: any = {}) {
	        return new Tested(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.tests = source["tests"];
	        this.surviving = source["surviving"];
	        this.level = source["level"];
	        this.over = source["over"];
	    }
	}
	export class Summary {
	    version: number;
	    from: string;
	    to: string;
	    split: string;
	    team: Sheet;
	    players: Sheet[];
	    rankings: Ranking[];
	    tested: Tested;
	
	    static createFrom(source: any = {}) {
	        return new Summary(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.version = source["version"];
	        this.from = source["from"];
	        this.to = source["to"];
	        this.split = source["split"];
	        this.team = this.convertValues(source["team"], Sheet);
	        this.players = this.convertValues(source["players"], Sheet);
	        this.rankings = this.convertValues(source["rankings"], Ranking);
	        this.tested = this.convertValues(source["tested"], Tested);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}
	
	
	
	
	
	export class Versus {
	    comparisons: Comparison[];
	    tested: Tested;
	
	    static createFrom(source: any = {}) {
	        return new Versus(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.comparisons = this.convertValues(source["comparisons"], Comparison);
	        this.tested = this.convertValues(source["tested"], Tested);
	    }
	
		convertValues(a: any, classs: any, asMap: boolean = false): any {
		    if (!a) {
		        return a;
		    }
		    if (a.slice && a.map) {
		        return (a as any[]).map(elem => this.convertValues(elem, classs));
		    } else if ("object" === typeof a) {
		        if (asMap) {
		            for (const key of Object.keys(a)) {
		                a[key] = new classs(a[key]);
		            }
		            return a;
		        }
		        return new classs(a);
		    }
		    return a;
		}
	}

}

export namespace timecode {
	
	export class Base {
	    num: number;
	    den: number;
	
	    static createFrom(source: any = {}) {
	        return new Base(source);
	    }
	
	    constructor(source: any = {}) {
	        if ('string' === typeof source) source = JSON.parse(source);
	        this.num = source["num"];
	        this.den = source["den"];
	    }
	}

}

