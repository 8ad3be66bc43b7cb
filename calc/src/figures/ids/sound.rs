//! What is heard at the pillow.

use uom::si::f64::Length;

use crate::quantity::SoundLevel;
use crate::rules::Band;

super::ids! {
    /// From the tank to the nearest pillow.
    PILLOW: Length = "sound.pillow";
    /// How the room is furnished.
    ROOM: String = "sound.room";
    /// What stands between tank and pillow.
    DOOR: String = "sound.door";
    /// How much sound falls from one metre to the pillow, in the open.
    FALL_OPEN: SoundLevel = "sound.fall_open";
    /// How much sound falls from one metre to the pillow, in a room full of cloth.
    FALL_LINED: Band<SoundLevel> = "sound.fall_lined";
    /// What all that hums may make together at one metre, in a room full of cloth: the safe end.
    LIMIT_LINED: SoundLevel = "sound.limit_lined";
    /// How much sound falls from one metre to the pillow, in a room with little cloth.
    FALL_ORDINARY: Band<SoundLevel> = "sound.fall_ordinary";
    /// What all that hums may make together at one metre, in a room with little cloth: the safe end.
    LIMIT_ORDINARY: SoundLevel = "sound.limit_ordinary";
    /// What all that hums may make together at one metre at night, in this home: the safe end.
    LIMIT: SoundLevel = "sound.limit";
    /// Sound level of the return pump at one metre.
    RETURN_PUMP: SoundLevel = "sound.return_pump";
    /// Sound level of the overflow at one metre.
    OVERFLOW: SoundLevel = "sound.overflow";
    /// What counts as sound.
    COUNTED: String = "sound.counted";
    /// What hums beside the pumps in the tank.
    BESIDE_WORDS: String = "sound.beside_words";
    /// What hums beside the pumps in the tank makes at one metre.
    BESIDE: SoundLevel = "sound.beside";
    /// Whether what hums beside the pumps is quiet enough alone.
    BESIDE_SAYS: String = "sound.beside_says";
    /// What is left to the pumps in the tank, at one metre.
    LEFT: SoundLevel = "sound.left";
    /// What hums loudest.
    LOUDEST: String = "sound.loudest";
    /// Level of what hums loudest, at one metre.
    LOUDEST_LEVEL: SoundLevel = "sound.loudest_level";
    /// Sound level of the skimmer at one metre.
    SKIMMER: SoundLevel = "sound.skimmer";
    /// How much louder it is at the pillow than at one metre, in the open.
    RISE_OPEN: SoundLevel = "sound.rise_open";
    /// How much louder it is at the pillow than at one metre, in a room full of cloth.
    RISE_LINED: Band<SoundLevel> = "sound.rise_lined";
    /// How much louder it is at the pillow than at one metre, in a room with little cloth.
    RISE_ORDINARY: Band<SoundLevel> = "sound.rise_ordinary";
}
