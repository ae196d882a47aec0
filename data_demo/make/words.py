"""What users write on a fault report and what the bench writes back, misspellings and all.

A complaint names what was heard, not the cause: one sound comes from several causes, one cause is heard in several
ways, some hear it wrongly, and some write no more than that something is wrong.
"""

VAGUE_SHARE, MISHEARD_SHARE, MISSPELT_SHARE, SECTION_SHARE = 0.20, 0.10, 0.10, 0.40
SAID = {
    "thin": ("thin, no bass", "low end gone", "no bottom end", "weak bass", "sounds thin"),
    "low level": ("low level", "quiet", "level down a few db", "weaker than its neighbours", "loses level"),
    "distortion": ("distorts", "distorted on loud passages", "breaking up", "fuzzy", "crunchy when pushed"),
    "thump": ("thump when pressed", "thumps when it comes in", "clicks", "bang when cut in"),
    "scratchy": ("scratchy when turned", "scratchy", "noisy when moved", "rough when turned", "gritty"),
    "hum": ("hum", "buzz", "hums all the time", "hum under the signal", "buzzing"),
    "oscillation": ("whistles", "motorboating", "squeals now and then", "whine on quiet passages"),
    "noise": ("hiss", "noisy", "hissing when warm", "noisy at first, better after ten minutes", "noise"),
    "crosstalk": ("crosstalk", "bleeds into the next one", "hears the next one"),
    "dead": ("dead", "no signal", "no output", "nothing coming through", "does nothing"),
    "drops out": (
        "drops out",
        "cuts out now and then",
        "comes and goes",
        "intermittent",
        "works when tapped",
    ),
    "crackle": ("crackle", "crackles", "crackling when touched", "pops", "crackles when leant on"),
    "stuck": ("stuck", "sticks", "does not latch", "jammed", "stiff"),
    "too loud": ("level jumps", "too loud all at once", "jumps in level"),
    "acts wrongly": ("pumps on its own", "not working", "has no effect", "does not work as it should"),
    "smell": ("smells burnt", "gets hot, smells", "burning smell"),
    "no light": ("lamp out", "no light", "lamp gone", "light out"),
    "off centre": ("left and right do not match", "pulls left", "one side lower"),
    "dull": ("dull", "no top end", "muffled"),
    "offset": ("dc on it", "dc offset, thuds"),
}
VAGUE = (
    "not right",
    "sounds odd",
    "acting up again",
    "please check",
    "something wrong with this one",
    "could you look at this",
    "problem again",
    "bad today",
    "engineer not happy with it",
    "strange",
)
HEARD = {  # how often each is heard of each cause, against the others
    "electrolytic 10u coupling monitor": {
        "thin": 5,
        "low level": 2,
        "distortion": 2,
        "thump": 2,
        "scratchy": 1,
    },
    "electrolytic 22u coupling channel": {
        "thin": 4,
        "low level": 3,
        "distortion": 2,
        "thump": 2,
        "scratchy": 2,
        "offset": 1,
    },
    "electrolytic 47u decoupling": {
        "hum": 4,
        "noise": 3,
        "oscillation": 2,
        "crosstalk": 2,
        "distortion": 1,
    },
    "electrolytic 100u rail": {"hum": 4, "noise": 3, "oscillation": 2, "low level": 1},
    "tantalum 4u7": {"dead": 4, "smell": 3, "hum": 1, "drops out": 1},
    "dual op-amp": {"noise": 4, "distortion": 3, "crackle": 2, "dead": 2, "thin": 1},
    "gain-control ic": {"acts wrongly": 4, "too loud": 3, "distortion": 2, "low level": 2, "dead": 1},
    "logic ic": {"stuck": 3, "acts wrongly": 3, "no light": 1, "dead": 1},
    "push switch 4-pole": {"drops out": 4, "crackle": 3, "stuck": 3, "scratchy": 1, "dead": 1},
    "push switch 2-pole": {"drops out": 3, "crackle": 3, "stuck": 3, "dead": 1},
    "rotary pot": {"scratchy": 6, "crackle": 3, "drops out": 1, "off centre": 1},
    "fader": {"scratchy": 4, "crackle": 3, "drops out": 3, "stuck": 1},
    "mute relay": {"drops out": 3, "dead": 2, "thump": 2, "stuck": 1},
    "edge connector": {"drops out": 4, "crackle": 4, "dead": 1},
    "indicator lamp": {"no light": 1},
    "clean": {"scratchy": 4, "crackle": 4, "drops out": 2, "noise": 1},
    "re-solder": {"drops out": 5, "crackle": 3, "dead": 2},
    "adjust": {"low level": 3, "off centre": 3, "too loud": 1, "acts wrongly": 1},
    "bridge track": {"dead": 4, "drops out": 3, "crackle": 1},
    "test": {"drops out": 3, "noise": 2, "hum": 2, "distortion": 2, "crackle": 2, "dull": 1},
    "supply": {"hum": 3, "drops out": 3, "dead": 2},
}
SECTIONS = {  # where the user says it is, where he says it at all
    "electrolytic 10u coupling monitor": ("monitor", "monitor path", "cue", "short fader", "monitor send"),
    "electrolytic 22u coupling channel": ("eq", "insert", "line in", "gain pot", "output"),
    "electrolytic 47u decoupling": ("eq", "mic pre", "monitor", "output", "aux"),
    "electrolytic 100u rail": ("output", "compressor", "eq"),
    "tantalum 4u7": ("output", "rail", "insert"),
    "dual op-amp": ("eq", "mic pre", "aux", "output", "monitor"),
    "gain-control ic": ("compressor", "fader", "gate", "automation"),
    "logic ic": ("routing", "bus assign", "mute", "solo"),
    "push switch 4-pole": ("routing", "eq in button", "solo button", "cut button"),
    "push switch 2-pole": ("solo button", "eq in button", "aux pre button"),
    "rotary pot": ("gain pot", "pan", "aux send", "eq mid knob"),
    "fader": ("fader",),
    "mute relay": ("mute", "output"),
    "edge connector": ("output", "insert", "monitor"),
    "indicator lamp": ("cut button", "solo button", "meter"),
    "clean": ("routing", "fader", "aux send", "eq in button", "pan"),
    "re-solder": ("output", "mic pre", "insert"),
    "adjust": ("meter", "compressor", "fader", "pan"),
    "bridge track": ("output", "insert", "routing"),
    "test": ("output", "eq", "monitor", "mic pre", "fader"),
    "supply": ("output", "monitor"),
}
NOT_THE_DESK = (
    "no signal from stage box",
    "headphones dead",
    "tie line crackle",
    "no sound from the computer",
    "talkback not heard in booth",
    "mic noisy",
    "dead",
    "hum",
    "no signal",
)
FINDINGS = {
    "electrolytic": ("cap dry", "cap leaking dc", "esr way up", "cap low, changed", "leaky coupling cap"),
    "in limit": ("changed on suspicion, measures fine", "old one in limit, was not it", "cap ok after all"),
    "tantalum": ("tant short", "burnt tantalum"),
    "ic": ("chip noisy", "output stuck to rail", "chip changed, ok", "oscillating"),
    "switch": ("contacts worn", "latch broken", "switch open on one pole"),
    "pot": ("track worn", "wiper gone", "pot open at one end"),
    "fader": ("track worn", "fader wiper bent", "fader changed"),
    "relay": ("contact high resistance", "coil open"),
    "connector": ("contacts tarnished", "bent contact"),
    "lamp": ("lamp open", "lamp changed"),
    "clean": ("cleaned, ok", "dirt", "cleaned contacts"),
    "care": ("weekly clean", "cleaned and worked", "cleaned, all ok"),
    "re-solder": ("dry joint", "re-soldered joint at regulator", "cracked joint"),
    "adjust": ("lined up", "trimmed"),
    "bridge track": ("lifted track, wire bridge", "pad gone, wired across", "track cracked, bridged"),
    "trace": (
        "traced from the output back",
        "signal followed stage by stage",
        "traced with the sibling beside",
    ),
    "waiting": ("found, waits", "traced, part to come"),
    "test": ("tested ok", "soaked two days, nothing found", "could not repeat"),
    "soak": ("ran two days, ok", "soaked, ready"),
    "re-form": ("re-formed", "brought up slowly, leakage fine"),
    "re-cap": ("all caps changed", "re-capped", "re-cap done, lined up"),
    "scrap": ("board beyond repair", "too many lifted tracks, kept for parts"),
}
MISSPELT = {
    "crackl": "crakl",
    "scratchy": "scrachy",
    "level": "levle",
    "monitor": "monitr",
    "channel": "chanel",
    "intermittent": "intermitent",
    "distorted": "distored",
    "distorts": "distorsts",
    "noisy": "nosiy",
    "whistles": "wistles",
    "signal": "singal",
    "button": "buton",
    "compressor": "compresser",
    "stuck": "stuk",
    "output": "ouput",
}


def symptom_text(dice, what: str, position: str) -> str:
    """One report as a user writes it: what was heard, sometimes where, sometimes misspelt, vague or in capitals."""
    text = _complaint(dice, what)
    if dice.chance(MISSPELT_SHARE):
        for right, wrong in MISSPELT.items():
            text = text.replace(right, wrong)
    text = f"ch {position} {text}" if dice.chance(0.25) else text
    return text.upper() if dice.chance(0.04) else text


def _complaint(dice, what: str) -> str:
    if dice.chance(VAGUE_SHARE):
        return dice.pick(VAGUE)
    if what == "not the desk":
        return dice.pick(NOT_THE_DESK)
    heard = HEARD[what]
    sound = dice.pick(SAID) if dice.chance(MISHEARD_SHARE) else dice.pick(heard, tuple(heard.values()))
    said = dice.pick(SAID[sound])
    if not dice.chance(SECTION_SHARE / (1 - VAGUE_SHARE)):
        return f"channel {said}" if dice.chance(0.2) else said
    section = dice.pick(SECTIONS[what])
    return f"{section} {said}" if dice.chance(0.7) else f"{said} ({section})"
