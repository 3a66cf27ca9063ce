/** What a person may do, by whose word and on what evidence; each is dated from-to. */
export const competences = [
  /** Do the steps of a job card. */
  'lift_work',
  /** Check lift-critical work that somebody else did. */
  'lift_check',
  /** Sign off job cards, clear defect stops, approve deferrals, say what others may do. */
  'lead',
  /** Set and clear the restrictions of dispatch. */
  'dispatch',
  /** Drive a unit: walk round it, report symptoms, do the short cards of the yard. */
  'driving',
  /** The yearly inspection, where the law asks who may do it. */
  'yearly_inspection',
] as const;
export type Competence = (typeof competences)[number];

/** Passes that may be asked for at most before a trainee works without a countersign. */
export const passesMost = 100;
