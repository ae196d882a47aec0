"""What users write on a fault report and what the bench writes back, misspellings and all."""

SYMPTOMS = {
    "electrolytic 10u coupling monitor": (
        "monitor path thin, no bass",
        "low end gone in the monitors",
        "monitor low level",
        "monitor distorts",
        "thump when monitor cut is pressed",
        "monitor send scratchy when turned",
    ),
    "electrolytic 22u coupling channel": (
        "channel low level",
        "thin sound, no bass on channel",
        "eq scratchy when swept",
        "thump when eq switched in",
        "distorted on loud passages",
        "gain pot scratchy, dc on it?",
    ),
    "electrolytic 47u decoupling": (
        "hum on channel",
        "noisy, hiss gets worse when warm",
        "whistle on quiet passages",
        "crosstalk from next channel",
        "hum in monitor path",
    ),
    "electrolytic 100u rail": (
        "hum on channel",
        "noisy at first, better after ten minutes",
        "channel motorboats",
    ),
    "tantalum 4u7": ("channel dead, smells burnt", "dead leg on output", "module takes the rail down"),
    "dual op-amp": (
        "noisy eq",
        "hiss on channel",
        "distorted even at low level",
        "popcorn noise",
        "dead leg on output",
    ),
    "gain-control ic": (
        "compressor pumps on its own",
        "level jumps",
        "channel distorted when gain rides",
        "fader automation level wrong",
        "channel dead",
    ),
    "logic ic": ("routing buttons do nothing", "mute stuck on", "bus assign lights wrong"),
    "push switch 4-pole": (
        "routing switch stuck",
        "eq in switch crackle",
        "solo intermittent",
        "cut switch does not latch",
        "signal drops out until switch is worked",
    ),
    "push switch 2-pole": ("solo intermittent", "eq in switch crackle", "aux pre switch stuck"),
    "rotary pot": ("gain pot scratchy", "pan crackle", "aux send scratchy", "eq frequency pot noisy"),
    "fader": ("fader scratchy", "fader drops out half way", "fader stuck", "fader crackle near the top"),
    "mute relay": ("mute stuck on", "relay chatters", "output dead until tapped"),
    "edge connector": ("intermittent, comes back when module is pushed", "crackle when desk is leant on"),
    "indicator lamp": ("lamp out on cut switch", "solo lamp dead", "meter lamp out"),
    "clean": ("pot scratchy", "crackle on routing", "fader crackle", "switch noisy"),
    "re-solder": ("intermittent output", "drops out when warm", "crackle when tapped"),
    "adjust": ("meter reads low", "left and right do not match", "compressor threshold off"),
    "bridge track": ("dead leg on output", "channel dead after moving module", "intermittent insert"),
    "test": (
        "intermittent crackle",
        "sounds dull",
        "drops out now and then",
        "noisy",
        "hum sometimes",
        "distorted, could not repeat it",
    ),
    "not the desk": (
        "no signal from stage box",
        "headphones dead",
        "tie line crackle",
        "no sound from the computer",
        "talkback not heard in booth",
        "mic noisy",
    ),
}
FINDINGS = {
    "electrolytic": ("cap dry", "cap leaking dc", "esr way up", "cap low, changed", "leaky coupling cap"),
    "tantalum": ("tant short", "burnt tantalum"),
    "ic": ("chip noisy", "output stuck to rail", "chip changed, ok", "oscillating"),
    "switch": ("contacts worn", "latch broken", "switch open on one pole"),
    "pot": ("track worn", "wiper gone", "pot open at one end"),
    "fader": ("track worn", "fader wiper bent", "fader changed"),
    "relay": ("contact high resistance", "coil open"),
    "connector": ("contacts tarnished", "bent contact"),
    "lamp": ("lamp open", "lamp changed"),
    "clean": ("cleaned, ok", "dirt", "cleaned contacts"),
    "re-solder": ("dry joint", "re-soldered joint at regulator", "cracked joint"),
    "adjust": ("lined up", "trimmed"),
    "bridge track": ("lifted track, wire bridge", "pad gone, wired across", "track cracked, bridged"),
    "test": ("tested ok", "soaked two days, nothing found", "could not repeat"),
    "re-cap": ("all caps changed", "re-capped", "re-cap done, lined up"),
    "scrap": ("board beyond repair", "too many lifted tracks, kept for parts"),
}
MISSPELT = {
    "crackle": "crakle",
    "scratchy": "scrachy",
    "level": "levle",
    "monitor": "monitr",
    "channel": "chanel",
    "intermittent": "intermitent",
    "distorted": "distored",
    "noisy": "nosiy",
    "switch": "swich",
}


def symptom_text(dice, what: str, position: str) -> str:
    """One report as a user writes it: sometimes with the channel number, sometimes misspelt or in capitals."""
    text = dice.pick(SYMPTOMS[what])
    if dice.chance(0.10):
        for right, wrong in MISSPELT.items():
            text = text.replace(right, wrong)
    text = f"ch {position} {text}" if dice.chance(0.25) else text
    return text.upper() if dice.chance(0.04) else text
