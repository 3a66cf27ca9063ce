import { type Duty, type Role, roleMay } from '../domain/access/role.ts';
import { Problem } from '../errors.ts';

/** Whether the key that asks may do it. @throws Problem role_not_allowed */
export function mustMay(role: Role, duty: Duty): void {
  if (roleMay(role, duty)) return;
  throw new Problem('role_not_allowed', `Keys of the role ${role} may not do this.`);
}
