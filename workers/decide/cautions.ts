/** What can hurt at this work, said where it is done (common practice, no source). */
export type CautionPlace = 'sanding' | 'lifting' | 'machine' | 'exit' | 'margin'

export const cautions: Readonly<Record<CautionPlace, string>> = {
  sanding:
    'Sanding: wear eye protection and a dust mask rated for fine wood dust, take the dust off at the tool, and keep sparks away from it.',
  lifting:
    'Setting a lane: support it before a fixing is loosened, keep fingers out from under it, and stand on a ladder or platform made for it, never alone.',
  machine:
    'Before reaching in: switch the drive off, lock it out and tag it, and let everything that hangs or rolls come to rest.',
  exit: 'A ball that leaves its lane is a thrown weight, and one underfoot is a fall: catch tray at the exit, nobody in its way, safety shoes under heavy balls.',
  margin:
    'This margin is computed for the lane as filmed; it is no certificate. Local codes come first, and so does whoever is licensed to sign for a structure people stand under.',
}
