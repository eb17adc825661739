import published from './published/record-v1.schema.json' with { type: 'json' }

/** JSON Schema of the record as published: a file beside this one, the same in every handover. */
export const publishedSchema: object = published
